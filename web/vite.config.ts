// How the page is built and unit-tested.
import { svelte } from '@sveltejs/vite-plugin-svelte'
import { defineConfig } from 'vitest/config'

export default defineConfig({
  plugins: [svelte()],
  base: './',
  build: { outDir: 'dist', target: 'es2022', sourcemap: false, chunkSizeWarningLimit: 400 },
  server: { proxy: { '/api': process.env.MIDDLECUT_API ?? 'http://127.0.0.1:4280' } },
  test: { include: ['src/**/*.test.ts'], environment: 'node' },
})

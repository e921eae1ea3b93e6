// How the page is built and unit-tested.
import { svelte } from '@sveltejs/vite-plugin-svelte'
import { defineConfig } from 'vitest/config'
import { paintBound } from './paint.ts'

/** What nearly every page says or hears: one file, since many small ones pack badly. */
const WORDS = /src\/(units|knowledge|route\.svelte|plan\/steps|run\/sentence|ui\/Hook|ui\/fresh|sound\.svelte|chart\/height|live\/columns)\b|svelte\/src\/reactivity/

export default defineConfig({
  // Pieces of a page made by code pack better than as text.
  plugins: [svelte({ compilerOptions: { fragments: 'tree', discloseVersion: false } }), paintBound()],
  base: './',
  build: {
    outDir: 'dist', target: 'es2022', sourcemap: false, modulePreload: { polyfill: false },
    rolldownOptions: { output: { codeSplitting: { groups: [{ name: 'words', test: WORDS }] } } },
  },
  server: { proxy: { '/api': process.env.MIDDLECUT_API ?? 'http://127.0.0.1:4280' } },
  test: { include: ['src/**/*.test.ts', '*.test.ts'], environment: 'node' },
})

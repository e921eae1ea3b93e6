// What a page needs before its first paint, measured on the files as they are built and as they go over the wire.
import { gzipSync } from 'node:zlib'
import type { Plugin } from 'vite'

/** Most that may come before the first paint of any page, bytes under gzip. */
export const FIRST_PAINT_MAX = 45_000

/** A built file: what it is made of, and what must be there with it. */
export interface Part {
  source: string
  /** Files that it cannot run without. */
  needs: readonly string[]
  /** Modules that it holds a page of, by their place in the source. */
  pages: readonly string[]
}

/** Everything that must be there before these files run, themselves too. */
export function closure(parts: ReadonlyMap<string, Part>, first: readonly string[]): Set<string> {
  const found = new Set<string>()
  const open = [...first]
  for (let name = open.pop(); name !== undefined; name = open.pop()) {
    if (found.has(name)) continue
    found.add(name)
    open.push(...(parts.get(name)?.needs ?? []))
  }
  return found
}

/** Bytes before the first paint of each page: its own files and those of the frame, each packed by itself. */
export function firstPaints(parts: ReadonlyMap<string, Part>, frame: readonly string[]): Map<string, number> {
  const paints = new Map<string, number>()
  for (const [name, { pages }] of parts) {
    for (const page of pages) {
      const bytes = [...closure(parts, [...frame, name])].reduce((sum, file) => sum + gzipSync(parts.get(file)?.source ?? '').length, 0)
      paints.set(page, bytes)
    }
  }
  return paints
}

/** What is wrong with them; nothing where no page is too heavy. */
export function tooHeavy(paints: ReadonlyMap<string, number>, most = FIRST_PAINT_MAX): string | null {
  if (!paints.size) return 'no page was found among the built files: first paints cannot be measured'
  const over = [...paints].filter(([, bytes]) => bytes > most)
  return over.length ? `first paint over ${most} bytes under gzip: ${over.map(([page, bytes]) => `${page} ${bytes}`).join(', ')}. Load behind it what it can stand without (src/parts.ts).` : null
}

interface Chunk { type: 'chunk'; fileName: string; code: string; imports: string[]; isEntry: boolean; facadeModuleId: string | null; viteMetadata?: { importedCss: Set<string> } }
interface Asset { type: 'asset'; fileName: string; source: string | Uint8Array }

/** Fails a build in which a page comes too late. */
export function paintBound(): Plugin {
  return {
    name: 'first-paint',
    apply: 'build',
    // The styles are there only once they were written.
    generateBundle: {
      order: 'post',
      handler(_options, bundle) {
        const files = Object.values(bundle) as unknown as (Chunk | Asset)[]
        const parts = new Map<string, Part>(files.map((file) => {
          if (file.type === 'asset') return [file.fileName, { source: String(file.source), needs: [], pages: [] }]
          const page = /src\/page\/(\w+)\.svelte$/.exec(file.facadeModuleId ?? '')?.[1]
          return [file.fileName, { source: file.code, needs: [...file.imports, ...(file.viteMetadata?.importedCss ?? [])], pages: page ? [page] : [] }]
        }))
        const paints = firstPaints(parts, ['index.html', ...files.flatMap((file) => (file.type === 'chunk' && file.isEntry ? [file.fileName] : []))])
        this.info(`first paint, bytes: ${[...paints].map(([page, bytes]) => `${page} ${bytes}`).join(', ')}`)
        const wrong = tooHeavy(paints)
        if (wrong) this.error(wrong)
      },
    },
  }
}

// The views of a folder, compiled when the program starts.

import { statSync } from 'node:fs'
import { createRequire, registerHooks } from 'node:module'
import path from 'node:path'
import { pathToFileURL } from 'node:url'
import { compileViews, viewNames } from './compile-views.ts'
import { type CompiledViews, type Views, viewsOf } from './print-views.ts'

export type { Views } from './print-views.ts'

/** The last compiled of each folder: in tests many applications start one after another. */
const compiled = new Map<string, { stamp: string; views: Views }>()
let loads = 0

/**
 * The views of a folder. Throws at once, with file and line, when one can't be compiled. With `reload` a change in the
 * folder is seen at the next page; otherwise the views stay as they were at the start.
 */
export function createViews(dir: string, { reload = false } = {}): Views {
  const views = latest(dir)
  return reload ? (view, ...scope) => latest(dir)(view, ...scope) : views
}

function latest(dir: string): Views {
  const stamp = stampOf(dir)
  const entry = compiled.get(dir)
  if (entry?.stamp === stamp) return entry.views
  const views = viewsOf(load(dir, compileViews(dir)))
  compiled.set(dir, { stamp, views })
  return views
}

function stampOf(dir: string): string {
  return viewNames(dir)
    .map(name => {
      const { mtimeMs, size } = statSync(path.join(dir, `${name}.ejs`))
      return `${name} ${mtimeMs} ${size}`
    })
    .join('\n')
}

/** Imports a text as a module: nothing is written to a disk, which may be read-only, and traces name the address. */
function load(dir: string, text: string): CompiledViews {
  loads += 1
  // A number of its own each time: what was imported once under an address stays.
  const address = pathToFileURL(path.resolve(dir, `compiled-${loads}.js`)).href
  const hooks = registerHooks({
    resolve: (asked, context, next) =>
      asked === address ? { url: address, format: 'module', shortCircuit: true } : next(asked, context),
    load: (url, context, next) =>
      url === address ? { format: 'module', source: text, shortCircuit: true } : next(url, context),
  })
  try {
    return createRequire(import.meta.url)(address).default
  } finally {
    hooks.deregister()
  }
}

// EJS with everything read once: a page is some twenty partials, and looking each up on the disk for every page cost more
// than printing it.

import { existsSync } from 'node:fs'
import path from 'node:path'
import { type Include, type Locals, printerOf, type Scope } from './view-printer.ts'

/** A view by its name without an ending, such as 'technician/check/check', as HTML. */
export type Views = (view: string, ...scope: Locals[]) => string

type Template = (scope: Scope) => string

/** The views of a folder. One that can't be found, or that fails, throws. */
export function createViews(dir: string): Views {
  const templateOf = madeOnce(compile)

  function compile(file: string): Template {
    const print = printerOf(file)
    // As EJS has it: a name that begins with a slash counts from the folder of all views.
    const partial = madeOnce(name =>
      templateOf(name.startsWith('/') ? resolve(dir, name.slice(1)) : resolve(path.dirname(file), name)),
    )

    function includeWith(scope: Scope): Include {
      return (name, more) => partial(name)(more ? [...scope, more] : scope)
    }

    return scope => print(scope, escapeText, includeWith(scope))
  }

  const view = madeOnce(name => templateOf(resolve(dir, name)))
  return (name, ...scope) => view(name)(scope)
}

function madeOnce<T>(make: (name: string) => T): (name: string) => T {
  const made = new Map<string, T>()
  return name => {
    const known = made.get(name)
    if (known !== undefined) return known
    const value = make(name)
    made.set(name, value)
    return value
  }
}

function resolve(folder: string, name: string): string {
  const file = path.resolve(folder, path.extname(name) ? name : `${name}.ejs`)
  if (!existsSync(file)) throw new Error(`There is no view ${name} in ${path.basename(folder)}`)
  return file
}

const signs: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&#34;', "'": '&#39;' }
const special = /[&<>"']/g
const anySpecial = /[&<>"']/

function escapeText(text: unknown): string {
  if (text === undefined || text === null) return ''
  const words = String(text)
  return anySpecial.test(words) ? words.replace(special, sign => signs[sign] ?? sign) : words
}

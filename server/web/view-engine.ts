// EJS with everything read once: a page is some twenty partials, and looking each up on the disk for every page cost more
// than printing it.

import { existsSync } from 'node:fs'
import path from 'node:path'
import { type Locals, printerOf } from './view-printer.ts'

type Render = (locals: Locals) => string

/** For `app.engine('ejs', …)`. A template that can't be found or fails gives the error to the callback. */
export function createViewEngine() {
  const known = new Map<string, Render>()

  function templateOf(file: string): Render {
    const found = known.get(file)
    if (found) return found
    const made = compile(file)
    known.set(file, made)
    return made
  }

  function compile(file: string): Render {
    const print = printerOf(file)
    const partials = new Map<string, Render>()
    const partial = (name: string) => {
      const found = partials.get(name) ?? templateOf(resolve(file, name))
      partials.set(name, found)
      return found
    }
    return locals => {
      const include = (name: string, more?: Locals) => partial(name)(more ? { ...locals, ...more } : locals)
      return print(locals, escapeText, include)
    }
  }

  return (file: string, locals: object, done: (error: unknown, html?: string) => void): void => {
    let html: string
    try {
      html = templateOf(file)(locals as Locals)
    } catch (error) {
      done(error)
      return
    }
    done(null, html)
  }
}

function resolve(from: string, name: string): string {
  const file = path.resolve(path.dirname(from), path.extname(name) ? name : `${name}.ejs`)
  if (!existsSync(file)) throw new Error(`${path.basename(from)} includes ${name}, which is not there`)
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

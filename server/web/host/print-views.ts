// Compiled views as a host uses them, with what they need beside their names. No Node module here: a browser prints too.

export type Locals = Record<string, unknown>

/**
 * A view by its name without an ending, such as 'technician/check/check', as HTML. A name that two of the scope's objects
 * give is taken from the later. Throws when there is no such view, and when it reads a name that it was not given.
 */
export type Views = (view: string, ...scope: Locals[]) => string

/** What a module of compiled views exports: for each view the names that its function is to be handed. */
export type CompiledViews = (
  escapeText: (value: unknown) => string,
  absent: symbol,
  missing: (name: string, place: string) => never,
) => Record<string, { names: readonly string[]; print(given: Locals): string }>

/** Stands for a name that nothing gives, until a view reads it: one given without a value prints nothing instead. */
const absent = Symbol('absent')

export function viewsOf(compiled: CompiledViews): Views {
  const views = new Map(Object.entries(compiled(escapeText, absent, missing)))
  return (name, ...scope) => {
    const view = views.get(name)
    if (!view) throw new Error(`There is no view ${name}`)
    const given: Locals = {}
    for (const name of view.names) given[name] = lookUp(scope, name)
    return view.print(given)
  }
}

function lookUp(scope: Locals[], name: string): unknown {
  for (let at = scope.length - 1; at >= 0; at -= 1) {
    const locals = scope[at]
    if (locals && Object.hasOwn(locals, name)) return locals[name]
  }
  return absent
}

function missing(name: string, place: string): never {
  throw new ReferenceError(`${name} is not defined (${place})`)
}

const signs: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&#34;', "'": '&#39;' }
const special = /[&<>"']/g
const anySpecial = /[&<>"']/

function escapeText(text: unknown): string {
  if (text === undefined || text === null) return ''
  const words = String(text)
  return anySpecial.test(words) ? words.replace(special, sign => signs[sign] ?? sign) : words
}

// A template as a function. EJS would look every name up in `with (locals)`, its own among them, piece by piece of the
// page, and no engine makes that quick; here the names that the locals have are taken out of them first.

import { readFileSync } from 'node:fs'
import ejs from 'ejs'

/** EJS has this for engines like ours; its types leave it out. */
const { Template } = ejs as unknown as {
  Template: new (text: string, options: object) => { compile(): unknown; source: string }
}

export type Locals = Record<string, unknown>

export type Print = (
  locals: Locals,
  printed: (text: unknown) => string,
  include: (name: string, more?: Locals) => string,
) => string

/**
 * The function EJS writes for a template, with the including left to us. A name that the locals lack is unknown in the
 * template, as with EJS: printing it throws a ReferenceError.
 */
export function printerOf(file: string): Print {
  const text = readFileSync(file, 'utf8')
  const template = new Template(text, { filename: file, compileDebug: false, _with: false })
  template.compile()
  const names = namesIn(text)
  const printers = new Map<string, Print>()
  return (locals, printed, include) => {
    let there = ''
    for (const name of names) there += name in locals ? '1' : '0'
    const known = printers.get(there)
    if (known) return known(locals, printed, include)
    const given = names.filter(name => name in locals)
    const made = printerWith(template.source, given)
    printers.set(there, made)
    return made(locals, printed, include)
  }
}

/** In a block of its own, so that a template may declare a name that is also a local. */
function printerWith(source: string, given: string[]): Print {
  const body = `const { ${given.join(', ')} } = locals; { ${source} }`
  return new Function('locals, escapeFn, include, rethrow', body) as Print
}

/** Every word of its code that may be the name of a local; one too many does no harm: only what the locals have is taken. */
export function namesIn(text: string): string[] {
  const code = text.match(/<%(?!#)[\s\S]*?%>/g) ?? []
  // Not what follows a dot, but what is spread.
  const words = code.join().match(/(?<![\w$]|(?<!\.\.)\.)[A-Za-z_$][\w$]*/g) ?? []
  return [...new Set(words)].filter(word => !taken.has(word))
}

/** What EJS's own lines use, and what JavaScript lets nobody declare. */
const taken = new Set(
  `locals escapeFn include rethrow __append __output arguments await break case catch class const continue debugger
  default delete do else enum eval export extends false finally for function if implements import in instanceof
  interface let new null package private protected public return static super switch this throw true try typeof
  undefined var void while with yield`.split(/\s+/),
)

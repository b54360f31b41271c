// A template as a function. EJS would look every name up in `with (locals)`, its own among them, piece by piece of the
// page, and no engine makes that quick; here the names that the locals have are taken out of them first.

import { readFileSync } from 'node:fs'
import ejs from 'ejs'

/** EJS has this for engines like ours; its types leave it out. */
const { Template } = ejs as unknown as {
  Template: new (text: string, options: object) => { compile(): unknown; source: string }
}

export type Locals = Record<string, unknown>

export type Include = (name: string, more?: Locals) => string

export type Print = (locals: Locals, printed: (text: unknown) => string, include: Include) => string

/** The template for locals that have some of the names it uses, and lack the others. */
interface Variant {
  suits(locals: Locals): boolean
  print: Print
}

/**
 * The function EJS writes for a template, with the including left to us. A name that the locals lack is unknown in the
 * template, as with EJS: printing it throws a ReferenceError.
 */
export function printerOf(file: string): Print {
  const text = readFileSync(file, 'utf8')
  const template = new Template(text, { filename: file, compileDebug: false, _with: false })
  template.compile()
  const names = namesIn(text)
  const variants: Variant[] = []
  return (locals, printed, include) => {
    for (const { suits, print } of variants) if (suits(locals)) return print(locals, printed, include)
    const made = variantFor(template.source, names, locals)
    variants.push(made)
    return made.print(locals, printed, include)
  }
}

function variantFor(source: string, names: string[], locals: Locals): Variant {
  const given = names.filter(name => name in locals)
  const there = names.map(name => (name in locals ? `'${name}' in locals` : `!('${name}' in locals)`))
  return {
    suits: new Function('locals', `return ${there.join(' && ') || 'true'}`) as Variant['suits'],
    // In a block of its own, so that a template may declare a name that is also a local.
    print: new Function(
      'locals, escapeFn, include, rethrow',
      `const { ${given.join(', ')} } = locals; { ${source} }`,
    ) as Print,
  }
}

/** Every word of its code that may be the name of a local; one too many does no harm: only what the locals have is taken. */
export function namesIn(text: string): string[] {
  const code = text.match(/<%(?!#)[\s\S]*?%>/g) ?? []
  const unquoted = code.join().replace(/'(\\.|[^'\\\n])*'|"(\\.|[^"\\\n])*"/g, '""')
  // Not what follows a dot, but what is spread.
  const words = unquoted.match(/(?<![\w$]|(?<!\.\.)\.)[A-Za-z_$][\w$]*/g) ?? []
  return [...new Set(words)].filter(word => !taken.has(word))
}

/** What EJS's own lines use, and what JavaScript lets nobody declare. */
const taken = new Set(
  `locals escapeFn include rethrow __append __output arguments await break case catch class const continue debugger
  default delete do else enum eval export extends false finally for function if implements import in instanceof
  interface let new null package private protected public return static super switch this throw true try typeof
  undefined var void while with yield`.split(/\s+/),
)

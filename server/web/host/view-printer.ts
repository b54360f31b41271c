// A template as a function. EJS would look every name up in `with (locals)`, its own among them, piece by piece of the
// page, and no engine makes that quick; here the names that the locals have are taken out of them first.

import { readFileSync } from 'node:fs'
import ejs from 'ejs'

/** EJS has this for engines like ours; its types leave it out. */
const { Template } = ejs as unknown as {
  Template: new (text: string, options: object) => { compile(): unknown; source: string }
}

export type Locals = Record<string, unknown>

/** Where a template's names are looked up: what is not in the last is looked for in the one before it. */
export type Scope = readonly Locals[]

export type Include = (name: string, more?: Locals) => string

export type Print = (scope: Scope, printed: (text: unknown) => string, include: Include) => string

/** The template for a scope that has its names at certain places, and lacks the others. */
interface Variant {
  suits(scope: Scope): boolean
  print: Print
}

/**
 * The function EJS writes for a template, with the including left to us. A name that the scope lacks is unknown in the
 * template, as with EJS: printing it throws a ReferenceError.
 */
export function printerOf(file: string): Print {
  const text = readFileSync(file, 'utf8')
  // A view's indentation would make a page half as long again. A line's end stays: a blank, as in HTML.
  const options = { filename: file, compileDebug: false, _with: false, rmWhitespace: true }
  const template = new Template(text, options)
  template.compile()
  const asked = askedFor(text)
  const names = [...new Set([...namesIn(text), ...asked])]
  const variants: Variant[] = []
  return (scope, printed, include) => {
    for (const { suits, print } of variants) if (suits(scope)) return print(scope, printed, include)
    const made = variantFor(template.source, names, asked, scope)
    variants.push(made)
    return made.print(scope, printed, include)
  }
}

/** Its lines name each place and each name outright: nothing is copied or looked up by a name that varies. */
function variantFor(source: string, names: string[], asked: string[], scope: Scope): Variant {
  const places = scope.map((_, n) => `const s${n} = scope[${n}];`).join(' ')
  const placed = names.map(name => ({ name, at: scope.findLastIndex(locals => name in locals) }))
  const suits = placed.flatMap(({ name, at }) =>
    scope.flatMap((_, n) => (n < at ? [] : [n === at ? `'${name}' in s${n}` : `!('${name}' in s${n})`])),
  )
  const given = placed.filter(({ at }) => at >= 0)
  const there = given.map(({ name, at }) => `const ${name} = s${at}.${name};`).join(' ')
  const locals = given.flatMap(({ name }) => (asked.includes(name) ? [name] : [])).join(', ')
  return {
    suits: new Function(
      'scope',
      `${places} return scope.length === ${[scope.length, ...suits].join(' && ')}`,
    ) as Variant['suits'],
    // In a block of its own, so that a template may declare a name that is also a local.
    print: new Function(
      'scope, escapeFn, include, rethrow',
      `${places} ${there} const locals = { ${locals} }; { ${source} }`,
    ) as Print,
  }
}

/** Every word of its code that may be the name of a local; one too many does no harm: only what the locals have is taken. */
export function namesIn(text: string): string[] {
  // Not what follows a dot, but what is spread.
  const words = codeOf(text).match(/(?<![\w$]|(?<!\.\.)\.)[A-Za-z_$][\w$]*/g) ?? []
  return [...new Set(words)].filter(word => !taken.has(word))
}

/** The names of which a template asks `locals` whether they are there; that object holds them, and no others. */
function askedFor(text: string): string[] {
  const asked = [...codeOf(text).matchAll(/(?<![\w$.])locals(?:\.([A-Za-z_$][\w$]*))?/g)]
  return asked.map(([, name]) => {
    if (!name) throw new Error('Of `locals` a template may only ask by name: locals.title')
    return name
  })
}

/** Without what stands in quotes. */
function codeOf(text: string): string {
  const code = text.match(/<%(?!#)[\s\S]*?%>/g) ?? []
  return code.join().replace(/'(\\.|[^'\\\n])*'|"(\\.|[^"\\\n])*"/g, '""')
}

/** What EJS's own lines use, and what JavaScript lets nobody declare. */
const taken = new Set(
  `locals escapeFn include rethrow __append __output arguments await break case catch class const continue debugger
  default delete do else enum eval export extends false finally for function if implements import in instanceof
  interface let new null package private protected public return static super switch this throw true try typeof
  undefined var void while with yield`.split(/\s+/),
)

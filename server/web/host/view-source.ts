// One EJS template as JavaScript, and every place in it that reaches for something it does not declare itself.

import { type AnyNode, type CallExpression, type MemberExpression, parse } from 'acorn'
import ejs from 'ejs'
import { analyze } from 'eslint-scope'

/** EJS has this for engines like ours; its types leave it out. */
const { Template } = ejs as unknown as {
  Template: new (text: string, options: object) => { generateSource(): void; source: string }
}

/** Characters of the code from `start` up to `end`, the latter not among them. */
export interface Piece {
  start: number
  end: number
}

/** Where a name is used that the template does not declare: read, or only asked for as in `locals.name`. */
export interface Use extends Piece {
  name: string
  kind: 'read' | 'shorthand' | 'asked'
  line: number
}

export interface Include extends Piece {
  /** As written: from the folder of all views when it begins with a slash, else from the template's own folder. */
  target: string
  /** The object it is handed; `names` are those of its keys that are written out, when `literal`. */
  more: (Piece & { literal: boolean; names: string[] }) | null
  line: number
}

export interface ViewSource {
  name: string
  /** Statements in strict mode that end in returning the page; `escapeFn` escapes a value. */
  code: string
  uses: Use[]
  includes: Include[]
}

const prelude = `"use strict"
let __output = ""
function __append(s) { if (s !== undefined && s !== null) __output += s }
`
/** How EJS notes, between two statements, which line of the template it has come to. */
const lineMark = '    ; __line = '

/** What JavaScript itself gives, in a browser as on the server. */
const builtIns = new Set(
  `Array BigInt Boolean Date Infinity Intl JSON Map Math NaN Number Object RegExp Set String Symbol decodeURIComponent
  encodeURI encodeURIComponent isFinite isNaN parseFloat parseInt undefined`.split(/\s+/),
)

/**
 * Reads a template. Throws, with its file and line, when it is no EJS, when its code is no JavaScript in strict mode, and
 * when it does what can't be compiled: assign to a name it was given, use `locals` but to ask by name, declare a name that
 * begins with a dollar, or include what is not named in quotes.
 */
export function readView(name: string, text: string): ViewSource {
  const file = `${name}.ejs`
  const code = codeOf(file, text)
  const refusal: Refusal = (at, words) => new Error(`${file}:${lineAt(code, at)}: ${words}`)
  const program = programOf(code, refusal)
  const around = surroundings(program, refusal)
  const view: ViewSource = { name, code, uses: [], includes: [] }
  for (const { name, start, end, written } of undeclared(program)) {
    const line = lineAt(code, start)
    if (written) throw refusal(start, `it assigns to ${name}, which it does not declare`)
    if (name === 'include')
      view.includes.push({ ...includeOf(around.calls.get(start), start, refusal), line })
    else if (name === 'locals')
      view.uses.push({ ...askedOf(around.members.get(start), start, refusal), line })
    else if (name !== 'escapeFn' && !builtIns.has(name))
      view.uses.push({ name, start, end, kind: around.shorthands.has(start) ? 'shorthand' : 'read', line })
  }
  return view
}

/** The code with some pieces replaced, none of which overlap, and without what served to read it. */
export function rewritten({ code }: ViewSource, changes: (Piece & { text: string })[]): string {
  const parts: string[] = []
  let at = 0
  for (const { start, end, text } of changes.toSorted((a, b) => a.start - b.start)) {
    parts.push(code.slice(at, start), text)
    at = end
  }
  const whole = parts.join('') + code.slice(at)
  return whole.replace('"use strict"\n', '').replace(/^ {4}; __line = \d+\n/gm, '')
}

type Refusal = (at: number, words: string) => Error

/** A view's indentation would make a page half as long again. A line's end stays, and so does what stands in `<pre>`. */
export function withoutIndentation(text: string): string {
  return text
    .split(/(<pre[\s>][\s\S]*?<\/pre>)/)
    .map(part => (part.startsWith('<pre') ? part : part.replace(/^[ \t]+/gm, '')))
    .join('')
}

function codeOf(file: string, text: string): string {
  // Only what EJS writes is taken: its own compile() would make a function of it.
  const template = new Template(withoutIndentation(text), { compileDebug: true, _with: false })
  try {
    template.generateSource()
  } catch (error) {
    throw new Error(`${file}: ${messageOf(error)}`)
  }
  return `${prelude}${template.source}return __output\n`
}

function lineAt(code: string, at: number): number {
  const mark = code.lastIndexOf(lineMark, at)
  return mark < 0 ? 1 : Number.parseInt(code.slice(mark + lineMark.length), 10)
}

function programOf(code: string, refusal: Refusal) {
  try {
    return parse(code, { ecmaVersion: 'latest', sourceType: 'commonjs', ranges: true })
  } catch (error) {
    const at = error instanceof SyntaxError && 'pos' in error ? Number(error.pos) : 0
    throw refusal(at, messageOf(error))
  }
}

function messageOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error)
}

function undeclared(program: AnyNode): (Piece & { name: string; written: boolean })[] {
  const scopes = analyze(program as Parameters<typeof analyze>[0], {
    ecmaVersion: 2024,
    sourceType: 'commonjs',
  })
  const names = scopes.globalScope?.through ?? []
  return names.flatMap(one => {
    const { name, range } = one.identifier
    if (!range || name === '__line') return []
    return [{ name, start: range[0], end: range[1], written: one.isWrite() }]
  })
}

/** What stands round a name, by where the name begins. */
function surroundings(program: AnyNode, refusal: Refusal) {
  const calls = new Map<number, CallExpression>()
  const members = new Map<number, MemberExpression>()
  const shorthands = new Set<number>()
  visit(program, node => {
    if (node.type === 'CallExpression') calls.set(node.callee.start, node)
    if (node.type === 'MemberExpression') members.set(node.object.start, node)
    if (node.type === 'Property' && node.shorthand) shorthands.add(node.start)
    if (node.type === 'Identifier' && node.name.startsWith('$'))
      throw refusal(node.start, `${node.name} begins with a dollar, as only what is compiled does`)
  })
  return { calls, members, shorthands }
}

function visit(part: unknown, see: (node: AnyNode) => void): void {
  if (typeof part !== 'object' || part === null) return
  if ('type' in part && 'start' in part) see(part as AnyNode)
  for (const one of Object.values(part)) visit(one, see)
}

function askedOf(member: MemberExpression | undefined, at: number, refusal: Refusal): Omit<Use, 'line'> {
  if (member?.object.type !== 'Identifier' || member.computed || member.property.type !== 'Identifier')
    throw refusal(at, 'of `locals` a view may only ask by name: locals.title')
  return { name: member.property.name, kind: 'asked', start: member.start, end: member.end }
}

function includeOf(call: CallExpression | undefined, at: number, refusal: Refusal): Omit<Include, 'line'> {
  const [target, more] = call?.arguments ?? []
  if (call?.callee.type !== 'Identifier' || target?.type !== 'Literal' || typeof target.value !== 'string')
    throw refusal(at, "a partial is included by its name in quotes: include('/partials/mark')")
  const { start, end } = call
  if (!more) return { target: target.value, more: null, start, end }
  const literal = more.type === 'ObjectExpression'
  const names = literal
    ? more.properties.flatMap(one =>
        one.type === 'Property' && !one.computed && one.key.type === 'Identifier' ? [one.key.name] : [],
      )
    : []
  return { target: target.value, more: { start: more.start, end: more.end, literal, names }, start, end }
}

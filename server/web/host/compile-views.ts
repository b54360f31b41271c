// The views of a folder as one ES module, so that printing them makes no code of a text: not on the server, nor where a
// content security policy forbids it.

import { readdirSync, readFileSync } from 'node:fs'
import path from 'node:path'
import { type Include, type Piece, readView, rewritten, type Use, type ViewSource } from './view-source.ts'

type Views = Map<string, ViewSource>

/**
 * The text of a module whose default export is a `CompiledViews`. Each view becomes a function of the names that it, or
 * what it includes, uses; so an include copies nothing else. Throws, with file and line, what can't be compiled and what
 * is included but is not there.
 */
export function compileViews(dir: string): string {
  const views: Views = new Map(viewNames(dir).map(name => [name, readView(name, textOf(dir, name))]))
  for (const view of views.values()) for (const include of view.includes) mustBeThere(views, view, include)
  const names = namesOf(views)
  const functions = [...views.values()].map(view => printer(view, names))
  const entries = [...names].map(
    ([view, used]) => `${quoted(view)}: { names: ${JSON.stringify(used)}, print: ${functionName(view)} },\n`,
  )
  return `export default function compiledViews(escapeFn, $$absent, $$missing) {
${functions.join('\n')}
return {
${entries.join('')}}
}
`
}

/** Of every file of a folder that is a view: its path from there without the ending. */
export function viewNames(dir: string): string[] {
  return readdirSync(dir, { recursive: true, encoding: 'utf8' })
    .filter(file => file.endsWith('.ejs'))
    .map(file => file.slice(0, -'.ejs'.length).split(path.sep).join('/'))
    .toSorted()
}

function textOf(dir: string, name: string): string {
  return readFileSync(path.join(dir, `${name}.ejs`), 'utf8')
}

function mustBeThere(views: Views, view: ViewSource, include: Include): void {
  if (views.has(targetOf(view, include))) return
  throw new Error(`${view.name}.ejs:${include.line}: there is no view ${include.target}`)
}

function targetOf(view: ViewSource, { target }: Include): string {
  const name = target.replace(/\.ejs$/, '')
  return name.startsWith('/') ? name.slice(1) : path.posix.join(path.posix.dirname(view.name), name)
}

/** Each view's names in order of the alphabet: its own, and those of its includes that these are not handed. */
function namesOf(views: Views): Map<string, string[]> {
  const names = new Map([...views].map(([name, { uses }]) => [name, new Set(uses.map(use => use.name))]))
  // Once more until nothing is added: views may include one another in a circle.
  for (let size = -1; size !== sizeOf(names); ) {
    size = sizeOf(names)
    for (const view of views.values())
      for (const include of view.includes)
        for (const name of names.get(targetOf(view, include)) ?? [])
          if (!include.more?.names.includes(name)) names.get(view.name)?.add(name)
  }
  return new Map([...names].map(([view, used]) => [view, [...used].toSorted()]))
}

function sizeOf(names: Map<string, Set<string>>): number {
  return [...names.values()].reduce((sum, { size }) => sum + size, 0)
}

function printer(view: ViewSource, names: Map<string, string[]>): string {
  const changes = [
    ...view.uses.map(use => ({ start: use.start, end: use.end, text: codeOfUse(view, use) })),
    ...view.includes.flatMap(include => call(include, targetOf(view, include), names)),
  ]
  const parameters = (names.get(view.name) ?? []).map(handed).join(', ')
  return `function ${functionName(view.name)}({ ${parameters} }) {\n${rewritten(view, changes)}}`
}

function codeOfUse(view: ViewSource, { name, kind, line }: Use): string {
  if (kind === 'asked') return `($${name} === $$absent ? undefined : $${name})`
  const value = `($${name} === $$absent ? $$missing('${name}', ${quoted(`${view.name}.ejs:${line}`)}) : $${name})`
  return kind === 'shorthand' ? `${name}: ${value}` : value
}

/** `include('x', { a })` becomes a call of x's function with `{ names handed on, a }`; a itself stays as it stands. */
function call({ start, end, more }: Include, target: string, names: Map<string, string[]>) {
  const on = (names.get(target) ?? []).filter(name => !more?.names.includes(name)).map(handed)
  const opening = `${functionName(target)}({ ${on.map(name => `${name}, `).join('')}`
  if (!more) return [{ start, end, text: `${opening}})` }]
  // Of an object written out only the brace is replaced: spreading one would take ten times as long.
  return more.literal
    ? [{ start, end: more.start + 1, text: opening }]
    : [replaced(start, more.start, `${opening}...(`), replaced(more.end, end, ') })')]
}

function replaced(start: number, end: number, text: string): Piece & { text: string } {
  return { start, end, text }
}

/** A name as a parameter: with a dollar, so that the template may declare the same name itself. */
function handed(name: string): string {
  return `${name}: $${name}`
}

/** Two dollars: no name has them. A view's name of letters, digits, slashes and hyphens is never taken for another's. */
function functionName(view: string): string {
  if (!/^[a-z\d/-]+$/i.test(view)) throw new Error(`${view}.ejs: name it in letters, digits and hyphens`)
  return `$$${view.replaceAll('/', '$').replaceAll('-', '_')}`
}

function quoted(words: string): string {
  return `'${words}'`
}

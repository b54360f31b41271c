import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import ejs from 'ejs'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { parseAst } from 'vitest/node'
import { createViews } from '../../server/web/host/view-engine.ts'
import { namesIn } from '../../server/web/host/view-printer.ts'

let dir: string
beforeEach(() => {
  dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-views-'))
})
afterEach(() => rmSync(dir, { recursive: true }))

/** As our engine prints it, and as EJS itself does, which is what ours is held against. */
function printed(text: string, locals: object): { ours: string; theirs: string } {
  const file = path.join(dir, 'page.ejs')
  writeFileSync(file, text)
  const views = createViews(dir)
  return {
    ours: orName(() => views('page', locals as Record<string, unknown>)),
    theirs: orName(() => ejs.render(text, locals, { compileDebug: false })),
  }
}

function orName(print: () => string): string {
  try {
    return print()
  } catch (error) {
    return (error as Error).name
  }
}

const locals = { title: 'A & B', list: ['x', 'y'], one: { title: 'deep', list: [1] }, nothing: undefined }

describe('a template', () => {
  it.each([
    ['a name', '<p><%= title %></p>', '<p>A &amp; B</p>'],
    ['what is spread', '<%= [...list, ...one.list].join("") %>', 'xy1'],
    ['a name of its own that is also a local', '<% const title = "own" %><%= title %>', 'own'],
    ['a name bound within', '<% list.forEach(title => { %><%= title %><% }) %><%= title %>', 'xyA &amp; B'],
    ['a property named as a local', '<%= one.title %><%= one?.list.length %>', 'deep1'],
    ['what the locals may lack', '<%= locals.missing || "none" %>', 'none'],
    ['a local without a value', '[<%= nothing %>]', '[]'],
    ['a global', '<%= JSON.stringify(one.list) %>', '[1]'],
    ['words in quotes and comments', `<%# list's %><%= "it's" + 'title' %>`, 'it&#39;stitle'],
    ['a name nobody gave', '<%= missing %>', 'ReferenceError'],
  ])('prints %s as EJS does', (_, text, wanted) => {
    expect(printed(text, locals)).toEqual({ ours: wanted, theirs: wanted })
  })

  it('prints for other locals than it was first printed for', () => {
    const file = path.join(dir, 'page.ejs')
    writeFileSync(file, '<%= locals.a ? a : b %>')
    const views = createViews(dir)
    const print = (given: Record<string, unknown>) => views('page', given)
    expect([print({ a: 1 }), print({ b: 2 }), print({ a: 3, b: 4 }), print({ a: 5 })]).toEqual([
      '1',
      '2',
      '3',
      '5',
    ])
    expect(() => print({})).toThrow('b is not defined')
  })

  it('takes a name from the innermost that gives it, also when it is given without a value', () => {
    writeFileSync(path.join(dir, 'inner.ejs'), '[<%= a %><%= b %><%= locals.c ? c : "-" %>]')
    writeFileSync(
      path.join(dir, 'mid.ejs'),
      '<%- include("inner") %><%- include("inner", { b, a: nothing }) %>',
    )
    writeFileSync(
      path.join(dir, 'page.ejs'),
      '<%= a %><%- include("inner") %><%- include("mid", { b: 5, c: 6 }) %><%= b %>',
    )
    const views = createViews(dir)
    const print = () => views('page', { a: 0, b: 0, nothing: undefined }, { a: 1 }, { b: 2 })
    expect(print()).toBe('1[12-][156][56]2')
    expect(print()).toBe(print())
    const theirs = { filename: path.join(dir, 'page.ejs'), compileDebug: false }
    const text = readFileSync(path.join(dir, 'page.ejs'), 'utf8')
    expect(print()).toBe(ejs.render(text, { a: 1, b: 2, nothing: undefined }, theirs))
  })

  it('may ask whether it was given a name, and for nothing else of all it was given', () => {
    writeFileSync(path.join(dir, 'page.ejs'), '<%= Object.keys(locals).length %>')
    expect(() => createViews(dir)('page', locals)).toThrow('may only ask by name')
  })

  // Held against a general parser's reading of the code, the one the test runner brings.
  it('is asked for every name that a view uses', () => {
    const files = readdirSync('views', { recursive: true, encoding: 'utf8' }).filter(file =>
      file.endsWith('.ejs'),
    )
    expect(files.length).toBeGreaterThan(50)
    for (const file of files) {
      const text = readFileSync(path.join('views', file), 'utf8')
      const known = new Set([...namesIn(text), ...own])
      expect({ file, missed: namesRead(text).filter(name => !known.has(name)) }).toEqual({ file, missed: [] })
    }
  })
})

/** Of the lines that EJS writes round a template. */
const own = ['s', 'locals', 'escapeFn', 'include', '__append', '__output', 'undefined']

function namesRead(text: string): string[] {
  const template = new (
    ejs as unknown as { Template: new (text: string, o: object) => { compile(): unknown; source: string } }
  ).Template(text, { compileDebug: false, _with: false })
  template.compile()
  const names: string[] = []
  const visit = (node: unknown): void => {
    if (typeof node !== 'object' || node === null) return
    const { type, name, computed, ...parts } = node as Record<string, unknown>
    if (type === 'Identifier') names.push(String(name))
    // What follows a dot, and what names a part of an object, is no name of its own.
    if (!computed && type === 'MemberExpression') delete parts.property
    if (!computed && type === 'Property') delete parts.key
    Object.values(parts).forEach(visit)
  }
  visit(parseAst(`function print() {${template.source}}`).body)
  return names.filter(name => name !== 'print')
}

import { execFileSync } from 'node:child_process'
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { pathToFileURL } from 'node:url'
import { parse } from 'acorn'
import { analyze } from 'eslint-scope'
import { describe, expect, it, onTestFinished } from 'vitest'
import { compileViews, viewNames } from '../../../server/web/host/compile-views.ts'
import { readView, type ViewSource } from '../../../server/web/host/view-source.ts'
import { viewsDir } from '../../views/harness.ts'

function folder(texts: Record<string, string> = {}): string {
  const dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-views-'))
  onTestFinished(() => rmSync(dir, { recursive: true }))
  for (const [name, text] of Object.entries(texts)) {
    mkdirSync(path.dirname(path.join(dir, name)), { recursive: true })
    writeFileSync(path.join(dir, `${name}.ejs`), text)
  }
  return dir
}

const names = ({ uses }: ViewSource) => uses.map(({ name, kind }) => (kind === 'asked' ? `${name}?` : name))

describe('a view that is read', () => {
  it.each<[string, string, string[]]>([
    ['read and asked for', '<%= a %><%= locals.b %><%= a.c %>', ['a', 'b?', 'a']],
    ['in a pattern', '<%= /a"\'b/.test(c) %>', ['c']],
    // biome-ignore lint/suspicious/noTemplateCurlyInString: the text of a template, which has one
    ['in a template string', '<%= `a ${b} ${`${c}`}` %>', ['b', 'c']],
    ['of properties', '<%= { a: b, c, [d]: 1 }.a?.e %>', ['b', 'c', 'd']],
    ['of parameters', '<% x.map((a, { b, c: [d] = e }, ...f) => [a, b, c, d, f]) %>', ['x', 'e', 'c']],
    ['bound only within a block', '<% { const a = 1; a } %><%= a %>', ['a']],
    ['declared', '<% const { a, b: c, ...d } = e; let f = [a, b, c, d] %><%= f %>', ['e', 'b']],
    ['of functions and what is caught', '<% function f(a) { f(a, g) } try {} catch (b) { b } %>', ['g']],
    ['of JavaScript itself', '<%= String(a) + Math.max(1) + undefined + JSON.stringify(b) %>', ['a', 'b']],
    ['of the browser or of Node', '<%= name + process + status %>', ['name', 'process', 'status']],
    ['in text and comments', "it's a <%# b %><% /* c */ // d %>\n<%= 'e' %>", []],
    ['of labels', '<% a: for (;;) break a %>', []],
  ])('has the names %s', (_, text, wanted) => {
    expect(names(readView('view', text))).toEqual(wanted)
  })

  it('knows the line of a name and of an include', () => {
    const { uses, includes } = readView(
      'v',
      'one\n<%= a %>\n\n<%- include("b", { c: d, "e": 1 }) %>\n<%= f %>',
    )
    expect(uses.map(({ name, line }) => [name, line])).toEqual([
      ['a', 2],
      ['d', 4],
      ['f', 5],
    ])
    expect(includes).toMatchObject([{ target: 'b', line: 4, more: { literal: true, names: ['c'] } }])
  })

  it.each([
    ['all of what it was given', '<%= Object.keys(locals) %>', 'may only ask by name'],
    ['a name of what it was given that varies', '<%= locals[a] %>', 'may only ask by name'],
    ['a partial whose name varies', '<%- include(a) %>', 'by its name in quotes'],
    ['a partial whose name is put together', "<%- include('a' + b) %>", 'by its name in quotes'],
    ['including as a value', '<%- a.map(include) %>', 'by its name in quotes'],
    ['assigning', '<% a = 1 %>', 'it assigns to a'],
    ['a name that begins with a dollar', '<% const $a = 1 %>', '$a begins with a dollar'],
    ['half a tag', '<% if (a) {', 'close tag'],
    ['half a block', '<% if (a) { %>', 'Unexpected token'],
    ['names in the way of `with`', '<% with (a) {} %>', "'with' in strict mode"],
  ])('may not have %s', (_, text, words) => {
    expect(() => readView('some/view', text)).toThrow(words)
    expect(() => readView('some/view', text)).toThrow(/^some\/view\.ejs/)
    if (!text.endsWith('{')) expect(() => readView('some/view', `\n\n${text}`)).toThrow('some/view.ejs:3: ')
  })
})

describe('the module of a folder of views', () => {
  it('is not made when a partial is missing; file and line are said', () => {
    const texts = { 'a/page': "\n<%- include('/part') %>\n<%- include('part') %>", part: '' }
    expect(() => compileViews(folder(texts))).toThrow('a/page.ejs:3: there is no view part')
    expect(compileViews(folder({ ...texts, 'a/part': '' }))).toContain("'a/part'")
  })

  it('takes no two views for one', () => {
    expect(() => compileViews(folder({ 'a-b': '', a_b: '' }))).toThrow('a_b.ejs: name it in')
  })

  it('makes no code of a text and reaches for nothing but JavaScript’s own', () => {
    const text = compileViews(viewsDir)
    expect(viewNames(viewsDir).length).toBeGreaterThan(100)
    expect(text).not.toMatch(/\beval\b|\bFunction\b|\bwith ?\((?![^\n]*"\))|__line/)
    const program = parse(text, { ecmaVersion: 'latest', sourceType: 'module', ranges: true })
    const scopes = analyze(program as Parameters<typeof analyze>[0], {
      ecmaVersion: 2024,
      sourceType: 'module',
    })
    const reached = scopes.globalScope?.through.map(one => one.identifier.name)
    expect([...new Set(reached)].filter(name => !(name in globalThis))).toEqual([])
    expect([...new Set(reached)].filter(name => !/^[A-Z]|^encodeURI|^undefined$/.test(name))).toEqual([])
  })

  it('prints where code may not be made of a text', () => {
    const module = path.join(folder(), 'views.mjs')
    writeFileSync(module, compileViews(viewsDir))
    const printer = path.resolve('server/web/host/print-views.ts')
    const script = `
      import compiled from ${JSON.stringify(pathToFileURL(module).href)}
      import { viewsOf } from ${JSON.stringify(pathToFileURL(printer).href)}
      let made = 'nothing'
      try { made = new Function('return "code"')() } catch (error) { made = error.name }
      const caution = { text: 'Live & bare', word: 'Danger' }
      console.log(made + viewsOf(compiled)('partials/caution', { caution }))`
    const switches = ['--disallow-code-generation-from-strings', '--input-type=module', '-e', script]
    const out = execFileSync(process.execPath, switches, { encoding: 'utf8' })
    expect(out).toMatch(/^EvalError/)
    expect(out).toContain('Live &amp; bare')
  })
})

import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import ejs from 'ejs'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import type { Locals, Views } from '../../../server/web/host/print-views.ts'
import { createViews } from '../../../server/web/host/view-engine.ts'
import { withoutIndentation } from '../../../server/web/host/view-source.ts'
import { makeSite } from '../../support/site.ts'
import { attend, report } from '../../support/walking.ts'
import { sampleLocals, samplesDir, viewsDir } from '../../views/harness.ts'
import { samples } from '../../views/samples.ts'

// EJS prints a view's indentation, ours leaves it out: that is the one difference between the two.
const indented = ejs.fileLoader
beforeAll(() => {
  ejs.fileLoader = file => withoutIndentation(readFileSync(file, 'utf8'))
})
afterAll(() => {
  ejs.fileLoader = indented
})

let dir: string
beforeEach(() => {
  dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-views-'))
})
afterEach(() => rmSync(dir, { recursive: true }))

function write(texts: Record<string, string>): void {
  for (const [name, text] of Object.entries(texts)) {
    const file = path.join(dir, `${name}.ejs`)
    mkdirSync(path.dirname(file), { recursive: true })
    writeFileSync(file, text)
  }
}

/** As our engine prints it, and as EJS itself does, which is what ours is held against. */
function printed(text: string, locals: Locals): { ours: string; theirs: string } {
  write({ page: text })
  const views = createViews(dir)
  return {
    ours: orName(() => views('page', locals)),
    theirs: orName(() => ejs.render(withoutIndentation(text), locals, { compileDebug: false })),
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
    ['what the locals have', '<%= locals.title ?? "none" %><%- locals?.one?.title %>', 'A &amp; Bdeep'],
    ['a local without a value', '[<%= nothing %>]', '[]'],
    ['a global', '<%= JSON.stringify(one.list) %>', '[1]'],
    ['words in quotes and comments', `<%# list's %><%= "it's" + 'title' %>`, 'it&#39;stitle'],
    ['a comment in the code', '<% /* missing */ // missing %>\n<%= list[0] %>', '\nx'],
    ['a name nobody gave', '<%= missing %>', 'ReferenceError'],
    ['a name nobody gave where it is not reached', '<% if (nothing) { %><%= missing %><% } %>.', '.'],
    ['a pattern with quotes', `<%= list.filter(one => /["'x/]/.test(one)).length %>`, '1'],
    // biome-ignore lint/suspicious/noTemplateCurlyInString: the text of a template, which has one
    ['a template string', '<%- `${list.map(title => `<${title}>`).join("")}${title}` %>', '<x><y>A & B'],
    ['names taken apart', '<% const { title: list, ...rest } = one %><%= list %><%= rest.list %>', 'deep1'],
    ['a default that is a local', '<%= (({ a = title, b: [c] = list }) => a + c)({}) %>', 'A &amp; Bx'],
    ['an object’s shorthand', '<%- JSON.stringify({ list, title }) %>', '{"list":["x","y"],"title":"A & B"}'],
    // biome-ignore lint/suspicious/noTemplateCurlyInString: the text of a template, which has one
    ['a key that varies', '<%= ({ [title]: 1 })[title] %><%= one[`ti${"tle"}`] %>', '1deep'],
    ['a function declared after its use', '<%= f(1) %><% function f(list) { return list + 1 } %>', '2'],
    ['what is caught', '<% try { one.none.x } catch (title) { %><%= title.name %><% } %>', 'TypeError'],
    ['a loop’s own name', '<% for (const title of list) { %><%= title %><% } %>', 'xy'],
    ['an empty branch without a line break', '<% if (list) { -%>\n a\n<% } -%>\n', 'a\n'],
    ['a delimiter for itself', '<%% title %%>', '<% title %>'],
    // biome-ignore lint/suspicious/noTemplateCurlyInString: the text of a template, which has one
    ['quotes, slashes and line ends', '"\\n" \\ \'\r\n`${title}`', '"\\n" \\ \'\r\n`${title}`'],
  ])('prints %s as EJS does', (_, text, wanted) => {
    expect(printed(text, locals)).toEqual({ ours: wanted, theirs: wanted })
  })

  it('prints for other locals than it was first printed for', () => {
    write({ page: '<%= locals.a ? a : b %>' })
    const views = createViews(dir)
    const print = (given: Locals) => views('page', given)
    expect([print({ a: 1 }), print({ b: 2 }), print({ a: 3, b: 4 }), print({ a: 5 })]).toEqual([
      '1',
      '2',
      '3',
      '5',
    ])
    expect(() => print({})).toThrow('b is not defined')
  })

  it('takes a name from the innermost that gives it, also when it is given without a value', () => {
    write({
      inner: '[<%= a %><%= b %><%= locals.c ? c : "-" %>]',
      mid: '<%- include("inner") %><%- include("inner", { b, a: nothing }) %>',
      page: '<%= a %><%- include("inner") %><%- include("mid", { b: 5, c: 6 }) %><%= b %>',
    })
    const views = createViews(dir)
    const print = () => views('page', { a: 0, b: 0, nothing: undefined }, { a: 1 }, { b: 2 })
    expect(print()).toBe('1[12-][156][56]2')
    expect(print()).toBe(print())
    const theirs = { filename: path.join(dir, 'page.ejs'), compileDebug: false }
    const text = readFileSync(path.join(dir, 'page.ejs'), 'utf8')
    expect(print()).toBe(ejs.render(text, { a: 1, b: 2, nothing: undefined }, theirs))
  })

  it('includes from its own folder or from that of all views, with any object, in a circle too', () => {
    write({
      'deep/page': '<%- include("item", { ...more, depth: 2 }) %><%- include("/deep/item.ejs", more) %>',
      'deep/item': '(<%= a %><% if (depth) { %><%- include("item", { depth: depth - 1 }) %><% } %>)',
    })
    const given = { a: 1, depth: 0, more: { a: 2, depth: 1 } }
    const file = path.join(dir, 'deep/page.ejs')
    const theirs = ejs.render(readFileSync(file, 'utf8'), given, { filename: file, root: dir })
    expect(createViews(dir)('deep/page', given)).toBe('(2(2(2)))(2(2))')
    expect(theirs).toBe('(2(2(2)))(2(2))')
  })

  it('says which name it was not given, and where', () => {
    write({ 'a/part': '\n\n<p><%= word %>', page: '\n<%- include("a/part", { other: 1 }) %>' })
    expect(() => createViews(dir)('page', {})).toThrow(
      new ReferenceError('word is not defined (a/part.ejs:3)'),
    )
  })

  it('is not there under another name', () => {
    write({ page: '' })
    expect(() => createViews(dir)('other')).toThrow('There is no view other')
    expect(() => createViews(dir)('constructor')).toThrow('There is no view constructor')
  })
})

describe('the views of a folder', () => {
  it('stay as they were at the start, or are read again when a file changes or comes', () => {
    write({ page: 'old <%= a %>' })
    const once = createViews(dir)
    const again = createViews(dir, { reload: true })
    expect([once('page', { a: 1 }), again('page', { a: 1 })]).toEqual(['old 1', 'old 1'])
    write({ page: 'newer <%- include("part") %>', part: '<%= a %>' })
    expect([once('page', { a: 1 }), again('page', { a: 1 })]).toEqual(['old 1', 'newer 1'])
    write({ page: '<% if ( %>' })
    expect(() => again('page', { a: 1 })).toThrow('page.ejs:1')
    write({ page: 'mended' })
    expect(again('page', { a: 1 })).toBe('mended')
  })

  it('print every sample as EJS does', async () => {
    cpSync(viewsDir, dir, { recursive: true })
    cpSync(samplesDir, dir, { recursive: true })
    const views = createViews(dir)
    for (const name of ['look', ...Object.keys(samples)]) {
      const given = sampleLocals(name, { errors: { lamp: 'Choose what you saw.' } })
      const theirs = await ejs.renderFile(path.join(dir, `${name}.ejs`), given, { root: dir })
      expect(theirs.length).toBeGreaterThan(2000)
      expect(views(name, given)).toBe(theirs)
    }
  })

  it('print the pages of a fault as EJS does', async () => {
    const compared: string[] = []
    const site = await makeSite({ views: besides(createViews(viewsDir), view => compared.push(view)) })
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    for (const page of ['next', 'put-back', 'record', 'closure', 'likely', 'departures/new'])
      expect((await wren.open(`/faults/${fault}/${page}`)).status).toBe(200)
    expect(compared).toContain('technician/check/check')
    expect(new Set(compared).size).toBeGreaterThan(5)
  })
})

/** Views that are compared with EJS's own as they are printed. */
function besides(views: Views, done: (view: string) => void): Views {
  const theirs = new Map<string, ejs.TemplateFunction>()
  return (view, ...scope) => {
    // What differs from one call to the next.
    const given = Object.assign({}, ...scope, { newId: () => 'id', served: () => ({ ms: 1, words: 'one' }) })
    const file = path.join(viewsDir, `${view}.ejs`)
    const options = { filename: file, root: viewsDir, cache: true }
    const render = theirs.get(view) ?? ejs.compile(withoutIndentation(readFileSync(file, 'utf8')), options)
    theirs.set(view, render)
    expect(views(view, given)).toBe(render(given))
    done(view)
    return views(view, ...scope)
  }
}

describe('indentation', () => {
  it('is left out of a page, and line ends stay', () => {
    write({ page: '<div>\n  <p>\n\ta <%= b %>\n  </p>\n</div>' })
    expect(createViews(dir)('page', { b: 1 })).toBe('<div>\n<p>\na 1\n</p>\n</div>')
  })

  it('stays in pre, where it is seen', () => {
    write({ page: '  <pre class="x">\n    a\n  b</pre>\n  <prefix>' })
    expect(createViews(dir)('page', {})).toBe('<pre class="x">\n    a\n  b</pre>\n<prefix>')
  })
})

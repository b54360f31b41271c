import { describe, expect, it } from 'vitest'
import { filesBelow, textOf } from './files.ts'

/** The folders that are held to this. */
const folders = ['views/technician', 'views/people', 'views/engineer', 'views/author', 'views/partials']
const single = ['views/error.ejs', 'views/look.ejs', 'views/sent-otherwise.ejs']

const longest = 140

/** Elements that open a line of their own; inline phrases may stand within one. */
const blocks = new Set(
  `html head body main header footer nav section article aside div p ul ol li dl dt dd h1 h2 h3 h4
  form fieldset legend table caption thead tbody tr th td figure figcaption blockquote pre details summary
  title meta link option select textarea hr`.split(/\s+/),
)

const views = [...folders.flatMap(folder => filesBelow(folder, '.ejs')), ...single]

describe('the views', () => {
  it('are found', () => {
    expect(views.length).toBeGreaterThan(80)
  })

  it.each(views)('%s has no line over 140 characters', file => {
    const long = linesOf(textOf(file)).filter(([text]) => text.length > longest)
    expect(long).toEqual([])
  })

  it.each(views)('%s opens one block a line', file => {
    const crowded = linesOf(markupOf(textOf(file))).filter(([text]) => blocksOpenedIn(text).length > 1)
    expect(crowded).toEqual([])
  })

  it.each(views)('%s goes through what it is given, and makes nothing of it', file => {
    expect(codeOf(textOf(file)).filter(computes)).toEqual([])
  })

  it.each(views)('%s prints as it is nothing but partials, drawings and rendered words', file => {
    const raw = codeOf(textOf(file)).filter(code => code.startsWith('-'))
    expect(raw.filter(code => !/^-\s*(include\(|[\w.]+$)/.test(code.trim()))).toEqual([])
  })

  it('would be told apart from those that compute, crowd a line or run on', () => {
    expect(computes(' rows.map(row => row.text) ')).toBe(true)
    expect(computes(' const typed = fields.filter(field => field.value) ')).toBe(true)
    expect(computes("= names.join(', ') ")).toBe(true)
    expect(computes(' const said = function () {} ')).toBe(true)
    expect(computes(' rows.forEach(({ text }, n) => { ')).toBe(false)
    expect(blocksOpenedIn('<li><p class="a">Text with <b>one</b> word</p></li>')).toEqual(['li', 'p'])
    expect(blocksOpenedIn(markupOf('<p class="<%= a > b %>">Text with <b>one</b> word</p>'))).toEqual(['p'])
  })
})

/** Each line with its number. */
function linesOf(text: string): [text: string, line: number][] {
  return text.split('\n').map((line, n) => [line, n + 1])
}

/** The view without its code, line by line as it was. */
function markupOf(text: string): string {
  return text.replace(/<%[\s\S]*?%>/g, code => code.replace(/[^\n]/g, ''))
}

function blocksOpenedIn(line: string): string[] {
  return [...line.matchAll(/<([a-z][a-z0-9]*)/g)].flatMap(([, name = '']) => (blocks.has(name) ? [name] : []))
}

/** The code between the marks of EJS, comments left out and the words in quotes too. */
function codeOf(text: string): string[] {
  const code = [...text.matchAll(/<%(?!#)_?([\s\S]*?)[-_]?%>/g)].map(([, inner = '']) => inner)
  return code.map(inner => inner.replace(/'[^'\n]*'/g, "''"))
}

/** Whether it makes something. A view's arrow functions are for going through a list to print it. */
function computes(code: string): boolean {
  const looping = code.replace(/\.forEach\((\w+|\([\w\s,{}]*\)) => \{/g, '.forEach(')
  return /=>|\bfunction\b|\.(map|filter|join|reduce|flatMap|some|find|sort|slice|split)\(|\bObject\./.test(
    looping,
  )
}

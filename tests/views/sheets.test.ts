import { readdirSync, readFileSync } from 'node:fs'
import path from 'node:path'
import { gzipSync } from 'node:zlib'
import { describe, expect, it } from 'vitest'
import { renderSample, sheet, viewsDir } from './harness.ts'

const folder = (name: string) => path.join(viewsDir, 'assets', name)
const files = (name: string, ending: string) =>
  readdirSync(folder(name))
    .filter(file => file.endsWith(ending))
    .map(file => ({ file, text: readFileSync(path.join(folder(name), file), 'utf8') }))
const sheets = files('css', '.css')
const scripts = files('js', '.js')

describe('the style sheets', () => {
  it('fix the order of the layers in their first line', () => {
    expect(sheet('app').split('\n')[0]).toBe('@layer reset, tokens, base, components, pages, print;')
  })

  it.each(sheets.slice(1))('$file keeps to one known layer and 250 lines', ({ text }) => {
    const layers = [...text.matchAll(/@layer ([a-z]+) \{/g)].map(match => match[1])
    expect(layers).toHaveLength(1)
    expect(['reset', 'tokens', 'base', 'components', 'pages', 'print']).toContain(layers[0])
    expect(text.split('\n').length).toBeLessThanOrEqual(250)
    expect(text).not.toContain('!important')
  })

  it('name a colour only where the raw values and print are', () => {
    const elsewhere = sheets.filter(({ file }) => !/tokens|print/.test(file))
    for (const { file, text } of elsewhere)
      expect(text.match(/#[0-9a-f]{3,8}\b(?=[;) ,])/gi), file).toBeNull()
  })

  it('give every raw colour a day and a night', () => {
    const tokens = sheets.find(({ file }) => file.includes('tokens'))?.text ?? ''
    const raw = [...tokens.matchAll(/--[a-z-]+: (#|light-dark\(#\w+, #\w+\))/g)].map(match => match[1])
    expect(raw.length).toBeGreaterThan(15)
    expect(raw).not.toContain('#')
  })

  it('ask nothing of another host', () => {
    for (const { text } of [...sheets, ...scripts])
      expect(text).not.toMatch(/https?:|url\(|@import|@font-face/)
  })
})

describe('the weight', () => {
  it('of a first check page with all it needs to be read and answered stays under 14 kB', async () => {
    const bytes = gzipSync(await renderSample('check')).length + gzipSync(sheet('app')).length
    expect(bytes).toBeLessThan(14 * 1024)
  })

  it('of later pages stays under 8 kB', async () => {
    for (const name of ['check', 'verdict', 'list', 'record'])
      expect(gzipSync(await renderSample(name)).length, name).toBeLessThan(8 * 1024)
  })

  it('of the scripts of every page stays under 12 kB, and of those for authors and for shifts without signal under 3', () => {
    const few = ['author.js', 'shift.js']
    for (const name of few) {
      const ofFew = scripts.filter(({ file }) => file === name)
      expect(gzipSync(ofFew.map(({ text }) => text).join('')).length, name).toBeLessThan(3 * 1024)
    }
    const ofAll = scripts.filter(({ file }) => !few.includes(file))
    const bytes = ofAll.reduce((sum, { text }) => sum + gzipSync(text).length, 0)
    expect(bytes).toBeLessThan(12 * 1024)
  })
})

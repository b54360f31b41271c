import { execFileSync } from 'node:child_process'
import { readdirSync, readFileSync } from 'node:fs'
import path from 'node:path'
import ejs from 'ejs'
import { describe, expect, it } from 'vitest'
import { renderSample, viewsDir } from './harness.ts'

const render = (name: string, locals: object): Promise<string> =>
  ejs.renderFile(path.join(viewsDir, 'partials', `${name}.ejs`), locals, { root: viewsDir })

const nasty = '<script>alert(1)</script>"\'&'

describe('the partials', () => {
  it('never let typed words out as markup', async () => {
    const made = await Promise.all([
      render('field', { field: { name: 'a', label: nasty, hint: nasty, error: nasty, value: nasty } }),
      render('field', { field: { name: 'a', label: nasty, error: '', value: nasty, type: 'textarea' } }),
      render('choice-tiles', {
        tiles: {
          name: 'a',
          id: 'a',
          label: nasty,
          value: '',
          options: [{ value: nasty, label: nasty, hint: nasty }],
        },
      }),
      render('caution', { caution: { text: nasty } }),
      render('verdict', { verdict: { kind: 'in', word: nasty, because: nasty, advice: nasty } }),
      render('timeline', {
        timeline: {
          entries: [
            { at: nasty, kind: 'done', word: nasty, text: nasty, detail: nasty, by: nasty, why: nasty },
          ],
        },
      }),
      render('summary-list', { summary: { rows: [{ key: nasty, value: nasty }] } }),
      render('data-table', {
        table: {
          caption: nasty,
          columns: [{ text: nasty }],
          rows: [{ cells: [{ text: nasty, note: nasty }] }],
        },
      }),
      render('reading-field', {
        reading: { name: 'a', quantity: nasty, unit: nasty, value: nasty, error: nasty },
      }),
      render('error-summary', { errors: [{ id: nasty, text: nasty }] }),
    ])
    for (const html of made) {
      expect(html).toContain('&lt;script&gt;')
      expect(html).not.toContain('<script')
    }
  })

  it('tie a field to its label, hint and error, and keep what was typed', async () => {
    const html = await render('field', {
      field: {
        name: 'length',
        label: 'Cable length',
        hint: 'As drawn.',
        error: 'Write a number.',
        value: '8o',
        unit: 'm',
        type: 'decimal',
      },
    })
    expect(html).toContain('<label class="field-label" for="length">')
    expect(html).toContain('aria-describedby="length-hint length-error"')
    expect(html).toContain('aria-invalid="true"')
    expect(html).toContain('value="8o"')
    expect(html).toContain('inputmode="decimal"')
    expect(html).not.toContain('type="number"')
    expect(html).not.toContain('placeholder')
  })

  it('link each error to its field, and draw nothing when there is none', async () => {
    const html = await render('error-summary', { errors: [{ id: 'length', text: 'Write a number.' }] })
    expect(html).toContain('<a href="#length">Write a number.</a>')
    expect((await render('error-summary', { errors: [] })).trim()).toBe('')
  })

  it('keep the words of a corrected finding legible, struck', async () => {
    const html = await render('timeline', {
      timeline: { entries: [{ kind: 'struck', word: 'corrected', text: 'Supply', struck: true }] },
    })
    expect(html).toContain('<del>Supply</del>')
  })

  it('say an empty table is empty', async () => {
    const html = await render('data-table', {
      table: { caption: 'Faults', columns: [{ text: 'Date' }], rows: [], empty: 'None.' },
    })
    expect(html).toContain('None.')
  })

  it('draw a shape for every mark that the page about the looks names', async () => {
    const shapes = new Set(
      [...(await render('marks', {})).matchAll(/id="mark-([a-z-]+)"/g)].map(match => match[1]),
    )
    const used = [...(await renderSample('look')).matchAll(/href="#mark-([a-z-]+)"/g)].map(match => match[1])
    expect(used.length).toBeGreaterThan(20)
    for (const kind of used) expect(shapes).toContain(kind)
  })

  it('say "Error:" in the title of a page with an error', async () => {
    expect(await renderSample('form', { errors: { lamp: 'Choose what you saw.' } })).toContain(
      '<title>Error: ',
    )
    expect(await renderSample('form')).not.toContain('<title>Error: ')
  })

  it('hold no inline style or script, and show raw only drawings and sanitised words', () => {
    for (const name of readdirSync(path.join(viewsDir, 'partials')).filter(file => file.endsWith('.ejs'))) {
      const text = readFileSync(path.join(viewsDir, 'partials', name), 'utf8')
      expect(text, name).not.toMatch(/ style=| on[a-z]+="|<style/)
    }
  })
})

describe('the scripts', () => {
  it('pass the type checker', () => {
    const tsc = path.resolve('node_modules/.bin/tsc')
    expect(
      execFileSync(tsc, ['-p', path.join(viewsDir, 'assets/js/jsconfig.json')], { encoding: 'utf8' }),
    ).toBe('')
  })
})

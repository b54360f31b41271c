import { describe, expect, it } from 'vitest'
import { compile } from '../../server/knowledge/compile.ts'
import { matchRow } from '../../server/knowledge/match.ts'
import type { Check } from '../../server/knowledge/types.ts'
import type { Reading } from '../../server/measurement/readings/reading.ts'
import type { Verdict } from '../../server/measurement/verdicts/verdict.ts'
import { changed, guide, guideFolder } from './folder.ts'

function checkNamed(slug: string, files = guideFolder): Check {
  const check = compile(files).knowledge?.trees.get('small-output-dead')?.checks.get(slug)
  if (!check) throw new Error(`no check ${slug}`)
  return check
}

const verdict = (side: Verdict['side']): Verdict => ({
  side,
  zone: 'no verdict',
  rule: 'none',
  probability: null,
  uncertainty: null,
  because: '',
  advice: null,
})

const volts = (value: number): Reading => ({ kind: 'value', value, resolution: 0.1, unit: 'V AC' })

function labelFor(check: Check, reading: Reading, side: Verdict['side']): string | null {
  const found = { kind: 'reading' as const, reading, range: null, verdict: verdict(side) }
  return matchRow(check, found)?.label ?? null
}

describe('a row for a reading', () => {
  const check = checkNamed('supply')

  it('is the one of the verdict, else otherwise', () => {
    expect(labelFor(check, volts(110), 'in range')).toBe('in range')
    expect(labelFor(check, { kind: 'none', unit: 'V AC' }, 'none')).toBe('none')
    expect(labelFor(check, volts(90), 'below')).toBe('otherwise')
    expect(labelFor(check, { kind: 'open', unit: 'V AC' }, 'open')).toBe('otherwise')
  })

  it('is left to the technician where a limit is blank and rows ask for a verdict', () => {
    expect(labelFor(check, volts(110), 'unknown')).toBeNull()
    expect(labelFor(check, { kind: 'none', unit: 'V AC' }, 'unknown')).toBe('none')
  })

  it('is otherwise where a limit is blank and no row asks for a verdict', () => {
    const plain = { ...check, rows: check.rows.filter(row => row.label !== 'in range') }
    expect(labelFor(plain, volts(110), 'unknown')).toBe('otherwise')
  })
})

describe('a row for a reading among bands', () => {
  const check = checkNamed('supply', changed(guideFolder, guide.slice(guide.indexOf('```diff'))))

  it.each<[Reading, Verdict['side'], string | null]>([
    [volts(9.9), 'below', 'below 10 V AC'],
    [volts(10), 'below', '10 V AC to 99 V AC'],
    [volts(50), 'below', '10 V AC to 99 V AC'],
    [volts(99), 'in range', 'in range'],
    [volts(122), 'above', 'above'],
    [volts(50), 'unknown', '10 V AC to 99 V AC'],
    [{ kind: 'less than', value: 0.1, unit: 'V AC' }, 'below', 'below 10 V AC'],
    [{ kind: 'unstable', low: 40, high: 60, resolution: 1, unit: 'V AC' }, 'below', '10 V AC to 99 V AC'],
    [{ kind: 'unstable', low: 5, high: 60, resolution: 1, unit: 'V AC' }, 'below', null],
    [{ kind: 'more than', value: 50, unit: 'V AC' }, 'unknown', null],
  ])('%j with the verdict %s is %s', (reading, side, label) => {
    expect(labelFor(check, reading, side)).toBe(label)
  })
})

describe('a row for a word', () => {
  const check = checkNamed('fuse')

  it('is the row of that word, whatever its case and spacing', () => {
    expect(matchRow(check, { kind: 'word', word: ' Broken ' })?.label).toBe('broken')
    expect(matchRow(check, { kind: 'observation', word: 'whole' })?.label).toBe('whole')
    expect(matchRow(check, { kind: 'word', word: 'green' })).toBeNull()
  })

  it('is otherwise where no row has the word', () => {
    const rows = check.rows.map(row =>
      row.label === 'whole' ? { ...row, label: 'otherwise', match: { kind: 'otherwise' as const } } : row,
    )
    expect(matchRow({ ...check, rows }, { kind: 'word', word: 'green' })?.label).toBe('otherwise')
  })

  it('takes “cannot tell” only by a row of its own', () => {
    expect(matchRow(check, { kind: 'cannot tell' })?.label).toBe('cannot tell')
    expect(matchRow(checkNamed('supply'), { kind: 'cannot tell' })).toBeNull()
  })
})

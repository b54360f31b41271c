import { describe, expect, it } from 'vitest'
import { namesOf, type Range } from '../../server/measurement/limits/expectation.ts'
import { formatRange } from '../../server/measurement/readings/format.ts'
import { parseReading } from '../../server/measurement/readings/reading.ts'
import { getUnit } from '../../server/measurement/readings/units.ts'
import { judge } from '../../server/measurement/verdicts/verdict.ts'
import { createRandom } from '../../server/statistics/random.ts'
import { expectedBar } from '../../server/web/technician/check/check-drawings.ts'
import { meter } from '../measurement/make.ts'
import { expectedSomewhere, type MeasuredCheck, measuredChecks } from './measured-pack.ts'

const limited = measuredChecks.filter(({ check }) => check.does.expectation !== null)
const formulas = limited.filter(({ check }) => namesOf(check.does.expectation ?? never()).length > 0)

describe('a bound as it is shown', () => {
  it('is there to be tried', () => {
    expect(limited.length).toBeGreaterThan(80)
    expect(formulas.length).toBeGreaterThan(12)
  })

  it.each(limited)('at $title is in range when typed back, and too close with a meter', one => {
    const random = createRandom(one.title)
    const turns = formulas.includes(one) ? 200 : 1
    for (let turn = 0; turn < turns; turn++) holds(one, expectedSomewhere(one, random) ?? never())
  })
})

function holds({ check }: MeasuredCheck, range: Range): void {
  const unit = range.shown ?? range.unit
  const shown = getUnit(unit).shown
  const tool = meter(range.unit, { percent: 0.5, counts: 2, resolution: 1e-9 }, 1e12)
  const bounds = range.text.replace(/^(at most|at least) /, '').split(' to ')
  expect(formatRange(range)).toBe(range.text)
  for (const bound of bounds) {
    const parsed = parseReading(bound.includes(shown) ? bound : `${bound} ${shown}`, check.does.unit, range)
    if (!parsed.ok) throw new Error(`“${bound}” is not understood.`)
    expect(judge(parsed.reading, range)).toMatchObject({ side: 'in range', zone: 'in' })
    // Of nothing at all a meter is not unsure by a share.
    if (parsed.reading.kind === 'value' && parsed.reading.value !== 0)
      expect(judge(parsed.reading, range, tool)).toMatchObject({ side: 'in range', zone: 'in, close' })
    expect(expectedBar(range, null)).toContain(bound)
  }
}

function never(): never {
  throw new Error('This check has no limit.')
}

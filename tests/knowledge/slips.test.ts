import { describe, expect, it } from 'vitest'
import { measuredChecks } from './measured-pack.ts'
import { type Typed, typedSlips, typedTruly } from './slips.ts'

const share = (typed: Typed[]) => typed.filter(({ asked }) => asked).length / typed.length

describe('at every check of the knowledge', () => {
  it('slips that lead out of range are asked about', () => {
    const slips = typedSlips(40, 'tests')
    expect(new Set(slips.map(({ title }) => title)).size).toBeGreaterThan(90)
    expect(new Set(slips.map(({ kind }) => kind)).size).toBe(7)
    expect(share(slips)).toBeGreaterThanOrEqual(0.95)
  })

  it('true readings are not, those in order never', () => {
    const readings = typedTruly(40, 'tests')
    expect(share(readings.filter(({ kind }) => kind === 'in order'))).toBe(0)
    expect(share(readings.filter(({ kind }) => kind === 'at a fault'))).toBeGreaterThan(0)
    expect(share(readings)).toBeLessThanOrEqual(0.02)
  })

  it('the field has the unit that the instruction sets the meter to', () => {
    const inMillivolts = measuredChecks.filter(({ check }) => /millivolts/.test(check.instruction))
    expect(inMillivolts.length).toBeGreaterThan(3)
    for (const { check } of inMillivolts) expect(check.does.meter).toBe('mV DC')
  })
})

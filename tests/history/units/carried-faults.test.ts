import { describe, expect, it } from 'vitest'
import { assessPositions, assessUnits, explainSwaps } from '../../../server/history/units/carried-faults.ts'
import { followSwaps, type Stay } from '../../../server/history/units/swaps.ts'

const day = 86_400_000
const asAtMs = 2000 * day

function stay(
  unitId: string,
  positionId: string,
  from: number,
  to: number | null,
  removedFor: string | null,
  workshop: Stay['workshop'] = null,
): Stay {
  return {
    unitId,
    kind: 'power module',
    positionId,
    place: 'loops',
    fittedMs: from * day,
    removedMs: to === null ? null : to * day,
    removedFor,
    workshop,
  }
}

/** Thirty good units that never moved. */
const quiet = Array.from({ length: 30 }, (_, i) => stay(`G${i}`, `Q${i}`, 0, null, null))

describe('what followed each swap', () => {
  it('tells a fault that went with the unit from one that stayed', () => {
    const swaps = followSwaps(
      [
        stay('U', 'A', 0, 30, 'dead'),
        stay('V', 'A', 30, null, null),
        stay('U', 'B', 60, 90, 'dead'),
        stay('W', 'B', 90, null, null),
      ],
      asAtMs,
    )
    expect(swaps.map(s => [s.stay.positionId, s.unitAfter, s.positionAfter])).toEqual([
      ['A', 'same again', 'not seen'],
      ['B', 'no more', 'not seen'],
    ])
  })

  it('waits for the window, and does not count another symptom', () => {
    const swaps = followSwaps(
      [stay('U', 'A', 0, 1950, 'dead'), stay('V', 'A', 1950, null, null), stay('U', 'B', 1955, 1960, 'weak')],
      asAtMs,
    )
    expect(swaps[0]).toMatchObject({ unitAfter: 'no more', positionAfter: 'too early' })
  })
})

describe('a unit that carries its fault', () => {
  const rogue = ['A', 'B', 'C', 'D'].flatMap((position, i) => [
    stay('R', position, 100 * i, 100 * i + 20, 'dead', 'tested good'),
    stay(`S${i}`, position, 100 * i + 20, null, null),
  ])

  it('is told from the rest', () => {
    const [first, ...rest] = assessUnits([...quiet, ...rogue], { asAtMs })
    expect(first).toMatchObject({
      id: 'R',
      verdict: 'carries its fault',
      shortStays: 4,
      testedGood: 4,
      wentWithUnit: 3,
      stayedAtPosition: 0,
      commonSymptom: { symptom: 'dead', times: 4 },
    })
    expect(rest.every(unit => unit.verdict === 'like the rest')).toBe(true)
    expect(first && explainSwaps(first).words).toContain(
      'went with the unit 3 times and stayed at the position never: carries its fault.',
    )
  })
})

describe('a position that spoils good units', () => {
  const spoiled = [0, 1, 2, 3].map(i => stay(`T${i}`, 'X', 50 * i, 50 * i + 50, 'dead'))

  it('is told by what happened after each swap', () => {
    const [first] = assessPositions([...quiet, ...spoiled, stay('T9', 'X', 200, null, null)], { asAtMs })
    expect(first).toMatchObject({
      id: 'X',
      verdict: 'the position is at fault',
      stayedAtPosition: 3,
      wentWithUnit: 0,
    })
  })

  it('does not blame the units', () => {
    const later = spoiled.map((s, i) => stay(s.unitId, `Y${i}`, 300, null, null))
    const units = assessUnits([...quiet, ...spoiled, ...later], { asAtMs })
    expect(units.some(unit => unit.verdict === 'carries its fault')).toBe(false)
  })
})

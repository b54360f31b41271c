import { describe, expect, it } from 'vitest'
import { qualityOf } from '../../../server/diagnosis/judging/quality.ts'
import { amongFirst, calibration } from '../../../server/diagnosis/judging/scores.ts'
import type { PastFault } from '../../../server/diagnosis/ranking/cause-counts.ts'
import { knowledgeOf } from '../trees.ts'

const knowledge = knowledgeOf(
  {
    dead: {
      checks: {
        supply: { minutes: 10, rows: { 'in range': 'output', none: '!feeder' } },
        output: { minutes: 5, rows: { 'in range': '.nothing', none: '!module' } },
      },
    },
  },
  { feeder: { share: 9 }, module: { share: 1 } },
)

let count = 0
function fault(positionId: string, cause: string | null, tree = 'dead'): PastFault {
  count += 1
  const reportedAt = `2026-01-01T00:00:${String(count).padStart(2, '0')}.000Z`
  return {
    id: `f${count}`,
    tree,
    equipment: 'set',
    siteId: positionId,
    positionId,
    cause,
    reportedAt,
    units: [],
    conditions: {},
  }
}

describe('the history replayed', () => {
  const again = Array.from({ length: 6 }, () => fault('p1', 'set/module'))
  const others = ['p2', 'p3', 'p4', 'p5', 'p6', 'p7'].map(position => fault(position, 'set/feeder'))
  const quality = qualityOf(knowledge, [...again, ...others])

  it('judges each fault by all the others', () => {
    expect(quality.n).toBe(12)
    expect(quality.first).toBe(1)
    expect(quality.brier).toBeLessThan(0.3)
  })

  it('never lets a fault foretell itself', () => {
    const alone = qualityOf(knowledge, [fault('p1', 'set/module')])
    expect(alone.first).toBe(0)
    expect(alone.firstThree).toBe(1)
    expect(alone.minutes).toMatchObject({ n: 1, author: 15, suggested: 15 })
  })

  it('counts minutes by the author’s order, by the suggestions and by the best order', () => {
    expect(quality.minutes.author).toBe(6 * 15 + 6 * 10)
    expect(quality.minutes.suggested).toBe(6 * 5 + 6 * 10)
    expect(quality.minutes.best).toBe(quality.minutes.suggested)
    expect(quality.minutes.bestExact).toBe(12)
  })

  it('sums up the positions with at least three earlier faults apart', () => {
    expect(quality.repeaters).toMatchObject({ n: 3, author: 45, suggested: 15 })
  })

  it('leaves out faults without a cause or without their tree, and says how many', () => {
    const some = qualityOf(knowledge, [
      fault('p1', null),
      fault('p1', 'set/module', 'gone'),
      fault('p1', 'set/feeder'),
    ])
    expect(some).toMatchObject({ n: 1, leftOut: 2 })
  })

  it('takes a cause that is not in the tree as outside it', () => {
    const strange = qualityOf(knowledge, [fault('p1', 'set/other')])
    expect(strange).toMatchObject({ n: 1, first: 0, minutes: { n: 0 } })
  })

  it('says nothing where there is nothing', () => {
    expect(qualityOf(knowledge, [])).toMatchObject({ n: 0, first: null, firstThree: null, brier: null })
  })
})

describe('calibration', () => {
  it('sets what was said beside what happened', () => {
    const bins = calibration([
      { chances: [0.9, 0.1], happened: 0 },
      { chances: [0.95, 0.05], happened: 1 },
      { chances: [1, 0], happened: 0 },
    ])
    expect(bins[9]).toMatchObject({ n: 3, observed: 2 / 3 })
    expect(bins[9]?.predicted).toBeCloseTo(2.85 / 3, 12)
    expect(bins[5]).toEqual({ from: 0.5, to: 0.6, n: 0, predicted: null, observed: null })
  })

  it('counts ties by their place', () => {
    expect(amongFirst([{ chances: [0.5, 0.5], happened: 1 }], 1)).toBe(0)
    expect(amongFirst([{ chances: [0.5, 0.5], happened: 0 }], 1)).toBe(1)
  })
})

// Truths planted in an otherwise quiet railway: each is found by its own list, and the lists stay quiet without them.
import { describe, expect, it } from 'vitest'
import { groupBy } from '../../server/history/group-by.ts'
import { failingTogether, findCommonCauses } from '../../server/history/positions/common-cause.ts'
import { dayMs } from '../../server/history/positions/exposure.ts'
import { chanceTwice, compareWithKind } from '../../server/history/positions/offenders.ts'
import { findUnrecordedWork } from '../../server/history/readings/steps.ts'
import { assessUnits } from '../../server/history/units/carried-faults.ts'
import type { Stay } from '../../server/history/units/swaps.ts'
import { findDrifts } from './find-drifts.ts'
import { quietRailway } from './quiet-railway.ts'
import { review } from './quiet-review.ts'

const quiet = quietRailway(3)
const { asAtMs } = quiet

describe('planted truths', () => {
  it('are not there to begin with', () => {
    expect([...review(quiet).values()].every(entries => entries === 0)).toBe(true)
  })

  it('a bad position', () => {
    const bad = quiet.positions.find(p => p.kind === 'overspeed loops' && p.fromMs === 0)
    const extra = [100, 190, 260, 400, 520, 610, 750, 900].map(onDay => ({
      positionId: bad?.id ?? '',
      atMs: onDay * dayMs,
    }))
    const faultsAt = groupBy([...quiet.faults, ...extra], f => f.positionId)
    const rows = quiet.positions.map(p => ({
      id: p.id,
      kind: p.kind,
      faults: faultsAt.get(p.id)?.length ?? 0,
      serviceDays: (asAtMs - p.fromMs) / dayMs,
    }))
    const out = compareWithKind(rows).filter(row => row.stands === 'out')
    expect(out.map(row => row.id)).toEqual([bad?.id])
    expect(out.map(row => (chanceTwice(row) ?? 0) > 0.5)).toEqual([true])
  })

  it('a unit that carries its fault', () => {
    const stay = (unitId: string, positionId: string, from: number, to: number | null): Stay => ({
      unitId,
      kind: 'module',
      positionId,
      place: 'power supply',
      fittedMs: from * dayMs,
      removedMs: to === null ? null : to * dayMs,
      removedFor: to === null ? null : 'no drive',
      workshop: to === null ? null : 'tested good',
    })
    const rogue = [0, 1, 2, 3, 4].flatMap(i => [
      stay('ROGUE', `X${i}`, 150 * i, 150 * i + 25),
      stay(`OTHER${i}`, `X${i}`, 150 * i + 25, null),
    ])
    const carrying = assessUnits([...quiet.stays, ...rogue], { asAtMs }).filter(
      u => u.verdict === 'carries its fault',
    )
    expect(carrying.map(u => u.id)).toEqual(['ROGUE'])
  })

  it('a reading that drifts, and one that was adjusted without a word', () => {
    const at = (i: number) => i * 91 * dayMs
    const limits = { min: 99, max: 121 }
    const wobble = [0.3, -0.6, 0.1, 0.8, -0.4, -0.2, 0.5, -0.7, 0.2, 0.4, -0.3, 0.1]
    const drifting = {
      id: 'drift',
      check: 'x',
      breaks: [] as [],
      readings: wobble.map((w, i) => ({ atMs: at(i), value: 118 - 1.2 * i + w, ...limits })),
    }
    const adjusted = {
      id: 'step',
      check: 'x',
      breaks: [] as [],
      readings: wobble.map((w, i) => ({ atMs: at(i), value: (i < 6 ? 105 : 112) + w, ...limits })),
    }
    const all = [...quiet.series, drifting, adjusted]
    expect(findDrifts(all).map(f => f.series.id)).toContain('drift')
    expect(findUnrecordedWork(all).map(f => f.series.id)).toEqual(['step'])
  })

  it('a shared supply', () => {
    const extra = [200, 470, 800].flatMap(onDay =>
      ['P0', 'P1', 'P3'].map((positionId, i) => ({
        id: `${positionId} ${onDay}`,
        positionId,
        atMs: (onDay + i / 20) * dayMs,
      })),
    )
    const sites = groupBy(quiet.positions, p => p.site)
    const shared = [...sites].map(([site, own]) => ({
      name: `supply ${site}`,
      positionIds: own.map(p => p.id),
    }))
    const found = findCommonCauses(failingTogether([...quiet.faults, ...extra], shared, asAtMs))
    expect(found.map(f => f.row.shared.name)).toEqual(['supply 0'])
  })
})

it('a quiet railway is flagged seldom', () => {
  let entries = 0
  for (let seed = 501; seed <= 512; seed++)
    entries += [...review(quietRailway(seed)).values()].filter(n => n > 0).length
  // 120 lists at one in twenty: six expected, more than thirteen in one run of two hundred.
  expect(entries).toBeLessThanOrEqual(13)
})

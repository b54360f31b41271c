// The whole review run over a railway, and how many entries each of its lists came to.

import { standOut } from '../../server/history/false-discovery.ts'
import { groupBy } from '../../server/history/group-by.ts'
import { failingTogether, findCommonCauses } from '../../server/history/positions/common-cause.ts'
import { dayMs, serviceDays } from '../../server/history/positions/exposure.ts'
import { compareWithKind } from '../../server/history/positions/offenders.ts'
import { lastDigits, pileUp } from '../../server/history/readings/reading-habits.ts'
import { findUnrecordedWork } from '../../server/history/readings/steps.ts'
import { daysSoonAfter, explainAfterWork, linkToWork } from '../../server/history/time/after-work.ts'
import { countByMonth, monthsOf } from '../../server/history/time/calendar.ts'
import { faultTrend } from '../../server/history/time/fault-trend.ts'
import { slicesDiffer } from '../../server/history/time/weather.ts'
import { assessPositions, assessUnits } from '../../server/history/units/carried-faults.ts'
import { findDrifts } from './find-drifts.ts'
import type { QuietRailway } from './quiet-railway.ts'

/** The share of quiet railways on which each list may have an entry by luck. */
export const statedErrorRate = 0.05

const lists: Record<string, (railway: QuietRailway) => number> = {
  'repeat offenders': offenders,
  'units that carry their fault': r =>
    assessUnits(r.stays, { asAtMs: r.asAtMs }).filter(u => u.compared.stands === 'out').length,
  'positions that spoil units': r =>
    assessPositions(r.stays, { asAtMs: r.asAtMs }).filter(u => u.compared.stands === 'out').length,
  'positions with a trend': trends,
  drifts: r => findDrifts(r.series).length,
  'unrecorded work': r => findUnrecordedWork(r.series).length,
  'common causes': together,
  'after work': afterWork,
  'last digits and pile-ups': digits,
  season: r => (seasons(r) ? 1 : 0),
}

export const listNames = Object.keys(lists)

/** Entries on each list, by its name. */
export function review(railway: QuietRailway): Map<string, number> {
  return new Map(Object.entries(lists).map(([name, list]) => [name, list(railway)]))
}

function offenders(r: QuietRailway): number {
  const faultsAt = groupBy(r.faults, f => f.positionId)
  const rows = r.positions.map(p => ({
    id: p.id,
    kind: p.kind,
    faults: faultsAt.get(p.id)?.length ?? 0,
    serviceDays: daysOf(p, r),
  }))
  return compareWithKind(rows).filter(row => row.stands === 'out').length
}

function trends(r: QuietRailway): number {
  const faultsAt = groupBy(r.faults, f => f.positionId)
  const verdicts = r.positions.map(p => {
    const times = (faultsAt.get(p.id) ?? []).map(f => (f.atMs - p.fromMs) / dayMs)
    return faultTrend(times, { by: 'time', at: daysOf(p, r) })
  })
  return standOut(verdicts, v => v.chance, statedErrorRate).length
}

function together(r: QuietRailway): number {
  const sites = groupBy(r.positions, p => p.site)
  const shared = [...sites].map(([site, own]) => ({
    name: `supply ${site}`,
    positionIds: own.map(p => p.id),
  }))
  return findCommonCauses(failingTogether(r.faults, shared, r.asAtMs)).length
}

function afterWork(r: QuietRailway): number {
  const siteOf = new Map(r.positions.map(p => [p.id, p.site]))
  const onSite = groupBy(r.positions, p => p.site)
  const neighboursOf = (id: string) =>
    (onSite.get(siteOf.get(id) ?? -1) ?? []).map(p => p.id).filter(other => other !== id)
  const worksOn = groupBy(r.works, w => siteOf.get(w.positionId) ?? -1)
  const soonDays = r.positions.reduce((total, p) => {
    const worksMs = (worksOn.get(p.site) ?? []).map(w => w.atMs)
    return total + daysSoonAfter(worksMs, { fromMs: p.fromMs, toMs: r.asAtMs })
  }, 0)
  const soonFaults = [...linkToWork(r.faults, r.works, { neighboursOf })].filter(link => link.soon).length
  const days = r.positions.reduce((total, p) => total + daysOf(p, r), 0)
  const { value } = explainAfterWork(
    { faults: soonFaults, days: soonDays },
    { faults: r.faults.length, days },
  )
  return (value ?? 1) <= statedErrorRate ? 1 : 0
}

function digits(r: QuietRailway): number {
  const byCheck = groupBy(r.series, s => s.check)
  const chances = [...byCheck.values()].flatMap(own => {
    const values = own.flatMap(s =>
      s.readings.flatMap(reading => (reading.value === null ? [] : [reading.value])),
    )
    const heaping = lastDigits(values.map(value => ({ value, resolution: 0.1 }))).value?.chance
    const piles = (['min', 'max'] as const).map(
      side => pileUp(values, { value: side === 'min' ? 99 : 121, side }, 0.1).value?.chance,
    )
    return [heaping, ...piles]
  })
  return standOut(chances, chance => chance ?? null, statedErrorRate).length
}

function seasons(r: QuietRailway): boolean {
  const months = monthsOf({ fromMs: 0, toMs: r.asAtMs }, 'UTC')
  const counts = countByMonth(
    r.faults.map(f => f.atMs),
    months,
  )
  const slices = Array.from({ length: 12 }, (_, m) => {
    const own = months
      .map((month, i) => ({ month, count: counts[i] ?? 0 }))
      .filter(({ month }) => month.month === m + 1)
    const days = own.flatMap(({ month }) =>
      r.positions.map(p => serviceDays({ inServiceMs: p.fromMs, outOfServiceMs: r.asAtMs }, month)),
    )
    return {
      label: String(m + 1),
      faults: own.reduce((sum, o) => sum + o.count, 0),
      serviceDays: days.reduce((a, b) => a + b, 0),
    }
  })
  return slicesDiffer(slices).value === true
}

function daysOf(p: QuietRailway['positions'][number], r: QuietRailway): number {
  return (r.asAtMs - p.fromMs) / dayMs
}

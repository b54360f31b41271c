// When faults come: the season, the weather noted, soon after work, and together with others.

import { countBars } from '../../charts/count-bars.ts'
import { heatStrip } from '../../charts/heat-strip.ts'
import type { Window } from '../../history/basis.ts'
import { cannotSay, type Explained } from '../../history/explained.ts'
import { groupBy } from '../../history/group-by.ts'
import { spansWithin } from '../../history/known.ts'
import {
  explainTogether,
  failingTogether,
  findCommonCauses,
  type Shared,
} from '../../history/positions/common-cause.ts'
import { dayMs, serviceDays } from '../../history/positions/exposure.ts'
import {
  daysSoonAfter,
  explainAfterWork,
  linkToWork,
  type Work,
  type WorkLink,
} from '../../history/time/after-work.ts'
import { countByMonth, type Month, monthsOf } from '../../history/time/calendar.ts'
import { slicesDiffer } from '../../history/time/weather.ts'
import type { HistoryPosition } from '../../storage/history/history.ts'
import type { History } from '../../storage/storage.ts'
import { durationWords } from '../../words.ts'
import { exposedIn, faultsIn, type Past } from '../past.ts'

const monthNames = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec']

/** Faults month by month, and each month of the year against its days in service. */
export function seasonIn(past: Past, timeZone: string) {
  const months = monthsOf(past.window, timeZone).map(month => ({
    ...month,
    fromMs: Math.max(month.fromMs, past.window.fromMs),
    toMs: Math.min(month.toMs, past.window.toMs),
  }))
  const counts = countByMonth(timesOf(past), months)
  const days = months.map(month => past.positions.reduce((sum, p) => sum + serviceDays(p, month), 0))
  const slices = byMonthOfYear(months, counts, days)
  return {
    differ: past.knownDays < fewestDaysForSeason ? yearNotWhole(past) : slicesDiffer(slices),
    strip: heatStrip({
      id: 'months',
      title: 'Faults in each month',
      countLabel: 'faults',
      months: months.map((month, i) => ({
        ...yearAndMonth(month),
        count: days[i] ? (counts[i] ?? 0) : null,
      })),
    }),
    bars: seasonBars(slices),
  }
}

const fewestDaysForSeason = 365

/** Of less than a year each month is seen at most once, and some not at all: a trend would look the same. */
function yearNotWhole({ knownDays }: Past): Explained<boolean | null> {
  return cannotSay(`Cannot say: ${durationWords(knownDays)} are known, and a season takes a whole year.`)
}

/** Faults and days in service of all Januaries together, and so on. */
function byMonthOfYear(months: readonly Month[], counts: Float64Array, days: readonly number[]) {
  return monthNames.map((label, i) => {
    const ofName = months.map((_, m) => m).filter(m => months[m]?.month === i + 1)
    return {
      label,
      faults: ofName.reduce((sum, m) => sum + (counts[m] ?? 0), 0),
      serviceDays: ofName.reduce((sum, m) => sum + (days[m] ?? 0), 0),
    }
  })
}

function seasonBars(slices: ReturnType<typeof byMonthOfYear>) {
  const serviceDays = slices.reduce((sum, slice) => sum + slice.serviceDays, 0)
  const faults = slices.reduce((sum, slice) => sum + slice.faults, 0)
  return countBars({
    id: 'season',
    title: 'Faults by month of the year, against the days in service',
    barLabel: 'Month',
    countLabel: 'Faults',
    bars: slices.map(slice => ({
      label: slice.label,
      count: slice.faults,
      expected: serviceDays === 0 ? null : (faults * slice.serviceDays) / serviceDays,
    })),
  })
}

/** Words noted of the weather at faults that come and go. Days without a fault have no such notes. */
export function weatherIn(history: History, past: Past) {
  const bars = (name: string, title: string) =>
    countBars({
      id: `condition-${name}`,
      title,
      barLabel: title,
      countLabel: 'Faults',
      bars: history
        .conditions(name, past.known)
        .slice(0, 10)
        .map(({ value, faults }) => ({ label: value, count: faults, expected: null })),
    })
  return [bars('weather', 'Weather noted at the fault')]
}

export interface AfterWorkFigures {
  explained: Explained<number | null>
  /** The newest of them first. */
  soon: WorkLink[]
}

const soonDays = 30
const mostShown = 12

/** Faults within a month of work on the same or a neighbouring position of the site. */
export function afterWorkIn(history: History, past: Past): AfterWorkFigures {
  const onSite = groupBy(past.positions, position => position.siteId)
  const neighboursOf = (id: string) =>
    (onSite.get(past.byId.get(id)?.siteId ?? '') ?? []).flatMap(other => (other.id === id ? [] : [other.id]))
  const faults = faultsIn(history, past).list
  const works = worksIn(history, past)
  let soon = 0
  const newest: WorkLink[] = []
  for (const link of linkToWork(faults, works, { neighboursOf, soonDays, keepDays: soonDays })) {
    soon++
    newest.push(link)
    if (newest.length >= 2 * mostShown) newest.splice(0, mostShown)
  }
  const worksOn = groupBy(works, work => past.byId.get(work.positionId)?.siteId ?? '')
  const days = past.positions.reduce((sum, position) => {
    const moments = (worksOn.get(position.siteId) ?? []).map(work => work.atMs)
    return inServiceIn(position, past).reduce(
      (all, window) => all + daysSoonAfter(moments, window, soonDays),
      sum,
    )
  }, 0)
  const allDays = exposedIn(past).reduce((sum, row) => sum + row.serviceDays, 0)
  return {
    explained: explainAfterWork({ faults: soon, days }, { faults: faults.length, days: allDays }),
    soon: newest.slice(-mostShown).reverse(),
  }
}

/** Positions of one site, and those that name the same supply, case or cable in their facts. */
export function togetherIn(history: History, past: Past) {
  const faults = faultsIn(history, past).list
  const shared = [...sitesOf(past), ...factsOf(history, past)]
  const together = failingTogether(faults, shared, past.knownDays * dayMs)
  return {
    looked: together.filter(one => one.shared.positionIds.length > 1).length,
    found: findCommonCauses(together).map(one => ({
      together: one.row,
      explained: explainTogether(one.row, one),
    })),
  }
}

/** Names of facts that say what a position shares with others. */
const sharedFacts = ['supply', 'fed from', 'case', 'location case', 'cable']

function sitesOf(past: Past): Shared[] {
  return [...groupBy(past.positions, position => position.siteId).values()].map(own => ({
    name: `the site ${own[0]?.siteName}`,
    positionIds: own.map(position => position.id),
  }))
}

function factsOf(history: History, past: Past): Shared[] {
  const facts = history.facts(sharedFacts).filter(({ positionId }) => past.byId.has(positionId))
  return [...groupBy(facts, ({ fact, value }) => `${fact} ${value}`)].map(([name, own]) => ({
    name: `the ${name}`,
    positionIds: own.map(({ positionId }) => positionId),
  }))
}

/** Work just before the window may have brought on its first faults. */
function worksIn(history: History, past: Past): Work[] {
  const { list, placeOf } = faultsIn(history, past)
  const works: Work[] = []
  for (const repair of history.repairs({
    fromMs: past.window.fromMs - soonDays * dayMs,
    toMs: past.window.toMs,
  })) {
    const fault = list[placeOf.get(repair.faultId) ?? -1]
    if (fault === undefined || repair.action === 'nothing changed') continue
    works.push({ id: repair.id, positionId: fault.positionId, atMs: repair.atMs, words: repair.action })
  }
  return works
}

function* timesOf({ families }: Past): Generator<number> {
  for (const { times, first } of families) for (let i = first; i < times.length; i++) yield times[i] ?? 0
}

function yearAndMonth({ year, month }: Month) {
  return { year, month }
}

/** The stretches of known time in which it was in service. */
function inServiceIn({ inServiceMs, outOfServiceMs }: HistoryPosition, { known }: Past): Window[] {
  return spansWithin(known, { fromMs: inServiceMs, toMs: outOfServiceMs ?? Infinity })
}

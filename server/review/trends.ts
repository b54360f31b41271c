// Is it getting worse? By kind of equipment, and at single positions.

import { type CumulativePlot, cumulativePlot } from '../charts/cumulative-plot.ts'
import { cannotSay, type Explained, term } from '../history/explained.ts'
import { adjustForMany, standOut } from '../history/false-discovery.ts'
import { groupBy } from '../history/group-by.ts'
import { type FaultRate, faultRate } from '../history/positions/fault-rate.ts'
import { type CumulativePoint, meanCumulative } from '../history/time/cumulative.ts'
import { type FaultTrend, faultTrend, type TrendVerdict } from '../history/time/fault-trend.ts'
import { type MeanTimeBetween, meanTimeBetween } from '../history/time/mean-time-between.ts'
import { pooledTrend, type TrendTest } from '../history/time/trend-tests.ts'
import type { HistoryPosition } from '../storage/history/history.ts'
import { adjustedChanceWords, chanceWords, countWords, durationWords } from '../words.ts'
import { type Past, type PastSystem, systemsIn } from './past.ts'

export interface KindTrend {
  kind: string
  positions: number
  faults: number
  serviceDays: number
  trend: Explained<FaultTrend | null>
  rate: Explained<FaultRate | null>
  meanTime: Explained<MeanTimeBetween | null>
  points: CumulativePoint[]
  end: number
}

export interface PositionTrend {
  position: HistoryPosition
  faults: number
  trend: TrendVerdict
  adjusted: number
}

export interface TrendFigures {
  kinds: KindTrend[]
  /** Positions whose trend stands out, the surest first. */
  positions: PositionTrend[]
  /** How many had faults enough to be tested. */
  tested: number
}

export function trendsIn(past: Past): TrendFigures {
  const systems = systemsIn(past)
  const kinds = kindTrends([...groupBy(systems, system => system.position.equipment)], past.knownDays)
  const all = systems
    .filter(system => system.times.length >= 3 && past.knownDays >= fewestDays)
    .map(system => ({ system, trend: faultTrend(system.times, { by: 'time', at: system.end }) }))
  const out = standOut(all, one => one.trend.chance, 0.05)
  return {
    kinds: kinds.sort((a, b) => b.faults - a.faults),
    positions: out.map(({ row, adjusted }) => ({
      position: row.system.position,
      faults: row.system.times.length,
      // Its own chance alone would be the least of many.
      trend: {
        ...row.trend,
        words: `${row.trend.value === 'worse' ? 'Getting worse' : 'Getting better'}: ${adjustedChanceWords(adjusted, all.length)}.`,
      },
      adjusted,
    })),
    tested: all.length,
  }
}

/** The mean number of faults of a position by time watched, one line a kind; thinned to what can be seen. */
export function trendPlot(kinds: readonly KindTrend[], nameOfKind: (slug: string) => string) {
  const data: CumulativePlot = {
    id: 'cumulative',
    title: 'Faults of a position on average, by kind of equipment',
    groups: kinds
      .filter(kind => kind.points.length > 0)
      .slice(0, 4)
      .map(kind => ({
        name: nameOfKind(kind.kind),
        points: thinned(kind.points).map(({ at, mean, low, high }) => ({
          at: at / 30.4375,
          mean,
          low,
          high,
        })),
        end: kind.end / 30.4375,
      })),
    atLabel: 'Months watched',
    countLabel: 'Faults, mean',
  }
  return cumulativePlot(data)
}

/** A chance is judged among those of all kinds: of many kinds one looks better or worse by luck alone. */
function kindTrends(groups: [string, PastSystem[]][], knownDays: number): KindTrend[] {
  const tests = groups.map(([, systems]) =>
    knownDays < fewestDays || faultsOf(systems) < fewestFaults ? null : pooledChance(systems),
  )
  const known = tests.flatMap(test => (test ? [test] : []))
  const adjusted = adjustForMany(known.map(test => test.chance))
  return groups.map(([kind, systems], i) => {
    const test = tests[i] ?? null
    const among = test ? (adjusted[known.indexOf(test)] ?? 1) : 1
    const trend = test ? pooledVerdict(test, among, known.length) : tooLittle(faultsOf(systems), knownDays)
    return kindTrend(kind, systems, trend)
  })
}

/** Of less the tests would still be exact, but a season, a holiday or one bad week would pass for a trend. */
const fewestDays = 90
const fewestFaults = 8

function tooLittle(faults: number, knownDays: number): Explained<FaultTrend | null> {
  const seen = `${countWords(faults, 'fault')} in ${durationWords(knownDays)} known`
  return cannotSay(`Cannot say: ${seen}; a trend takes ${fewestFaults} faults and ${fewestDays} days.`)
}

function faultsOf(systems: readonly PastSystem[]): number {
  return systems.reduce((sum, { times }) => sum + times.length, 0)
}

function kindTrend(kind: string, systems: PastSystem[], trend: Explained<FaultTrend | null>): KindTrend {
  const faults = faultsOf(systems)
  const serviceDays = systems.reduce((sum, { end }) => sum + end, 0)
  return {
    kind,
    positions: systems.length,
    faults,
    serviceDays,
    trend,
    rate: faultRate(faults, serviceDays),
    meanTime: meanTimeBetween(faults, serviceDays, trend),
    points: meanCumulative(systems.map(({ times, end }) => ({ events: times, end }))),
    end: systems.reduce((most, { end }) => Math.max(most, end), 0),
  }
}

interface PooledChance {
  laplace: TrendTest
  handbook: TrendTest
  /** Two-sided. */
  chance: number
}

/** All positions of a kind together, each watched to a moment, not to a fault; null where the tests say nothing. */
function pooledChance(systems: readonly PastSystem[]): PooledChance | null {
  const { laplace, militaryHandbook: handbook } = pooledTrend(
    systems.map(({ times, end }) => ({ times, ending: { by: 'time' as const, at: end } })),
  )
  if (laplace === null || handbook === null || handbook.n < 3) return null
  return { laplace, handbook, chance: Math.min(1, 2 * Math.min(handbook.worse, handbook.better)) }
}

function pooledVerdict(test: PooledChance, among: number, kinds: number): Explained<FaultTrend | null> {
  const { laplace, handbook, chance } = test
  const value = among > 0.05 ? 'none seen' : handbook.worse < handbook.better ? 'worse' : 'better'
  const words = { worse: 'Getting worse', better: 'Getting better', 'none seen': 'No trend seen' }
  return {
    value,
    words:
      value === 'none seen' ? 'No trend seen.' : `${words[value]}: ${adjustedChanceWords(among, kinds)}.`,
    terms: [
      term('Laplace', laplace.statistic, 'above zero is worse, over all positions'),
      term('power-law trend', handbook.statistic, `chi-square on ${2 * handbook.n} degrees, low is worse`),
      term('chance', chance, `${chanceWords(chance)}; two-sided, exact`),
      term('among all kinds', among, `Benjamini and Hochberg, of ${kinds}`),
      term('faults', handbook.n, 'n'),
      term('ending', 'by time', 'each position was watched to a moment, so its last fault counts'),
    ],
  }
}

const mostPoints = 240

function thinned(points: readonly CumulativePoint[]): CumulativePoint[] {
  const every = Math.ceil(points.length / mostPoints)
  return points.filter((_, i) => i % every === 0 || i === points.length - 1)
}

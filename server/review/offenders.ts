// Which positions fail more than the others of their kind.

import { type FunnelPlot, funnelPlot } from '../charts/funnel-plot.ts'
import type { Explained } from '../history/explained.ts'
import { groupBy } from '../history/group-by.ts'
import { yearDays } from '../history/positions/fault-rate.ts'
import { dispersion, type FunnelPoint, funnel } from '../history/positions/funnel.ts'
import {
  type Compared,
  chanceTwice,
  compareWithKind,
  explainOffender,
} from '../history/positions/offenders.ts'
import type { HistoryPosition } from '../storage/history/history.ts'
import { countWords } from '../words.ts'
import { exposedIn, type Past } from './past.ts'

export interface Offender {
  position: HistoryPosition
  compared: Compared
  /** That its true rate is more than twice its kind's mean. */
  chanceTwice: number | null
  explained: Explained<number | null>
}

export interface Offenders {
  compared: number
  /** Those that stand out, least likely by luck first. */
  out: Offender[]
  byPosition: Map<string, Compared>
}

export function offendersOf(past: Past): Offenders {
  const rows = compareWithKind(exposedIn(past))
  return {
    compared: rows.length,
    out: rows
      .filter(row => row.stands === 'out')
      .flatMap(compared => {
        const position = past.byId.get(compared.id)
        return position === undefined
          ? []
          : [{ position, compared, chanceTwice: chanceTwice(compared), explained: explainOffender(compared) }]
      }),
    byPosition: new Map(rows.map(row => [row.id, row])),
  }
}

/** A funnel for each kind of equipment, those with most faults first. */
export function funnelsOf(past: Past, nameOfKind: (slug: string) => string) {
  const kinds = [...groupBy(exposedIn(past), row => row.kind)]
  return kinds
    .map(([kind, rows]) => ({ kind, rows, faults: rows.reduce((sum, row) => sum + row.faults, 0) }))
    .filter(({ rows, faults }) => rows.length > 1 && faults > 0)
    .sort((a, b) => b.faults - a.faults)
    .flatMap(({ kind, rows, faults }, i) => {
      const made = funnel(rows)
      if (made === null) return []
      const title = `${nameOfKind(kind)}: faults a year of service, ${countWords(rows.length, 'position')}`
      return [
        {
          kind: nameOfKind(kind),
          n: rows.length,
          faults,
          chart: funnelPlot({ id: `funnel-${i}`, title, ...shown(made, past) }),
          method: made.method,
          dispersion: dispersion(rows, made.perDay),
        },
      ]
    })
}

type Funnel = NonNullable<ReturnType<typeof funnel>>

function shown(made: Funnel, past: Past): Omit<FunnelPlot, 'id' | 'title'> {
  const years = (days: number) => days / yearDays
  return {
    points: merged(made.points).map(({ point, n }) => {
      const position = past.byId.get(point.id)
      return {
        name: n > 1 ? countWords(n, 'position') : `${position?.siteName}, ${position?.name}`,
        exposure: years(point.serviceDays),
        rate: point.perDay * yearDays,
        zone: point.zone,
        n,
      }
    }),
    limits: made.limits.map(({ serviceDays, low95, high95, low998, high998 }) => ({
      exposure: years(serviceDays),
      low95: low95 * yearDays,
      high95: high95 * yearDays,
      low998: low998 * yearDays,
      high998: high998 * yearDays,
    })),
    rate: made.perDay * yearDays,
    exposureLabel: 'Years in service in the window',
    rateLabel: 'Faults a year',
  }
}

/**
 * Points inside the limits that would lie on each other are drawn as one; each that stands out keeps its own.
 */
function merged(points: FunnelPoint[]): { point: FunnelPoint; n: number }[] {
  const longest = points.reduce((most, point) => Math.max(most, point.serviceDays), 0)
  const places = new Map<string, { point: FunnelPoint; n: number }>()
  for (const point of points) {
    const place = Math.round((300 * point.serviceDays) / longest)
    const key = point.zone === 'inside' ? `${place} ${point.faults}` : point.id
    const here = places.get(key)
    if (here === undefined) places.set(key, { point, n: 1 })
    else here.n++
  }
  return [...places.values()]
}

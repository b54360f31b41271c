// What was wrong, how often, how long it took, and how often nothing was found.

import { logScatterChart } from '../../../charts/log-scatter.ts'
import { paretoBars } from '../../../charts/pareto-bars.ts'
import type { Explained } from '../../../history/explained.ts'
import { arrows, logScatter } from '../../../history/log-scatter.ts'
import { explainNothingFound, nothingFoundByGroup } from '../../../history/no-fault-found.ts'
import { type Cost, type ParetoMeasure, pareto, totalsByCause } from '../../../history/pareto.ts'
import type { HistoryClosure } from '../../../storage/history.ts'
import type { History } from '../../../storage/storage.ts'
import { faultsIn, type Past, type PastFault } from './past.ts'

export interface CauseFigures {
  faults: number
  closed: number
  byCause: ReturnType<typeof totalsByCause>
  earlier: ReturnType<typeof totalsByCause>
  later: ReturnType<typeof totalsByCause>
  byTree: NothingFoundRow[]
  bySite: NothingFoundRow[]
}

export interface NothingFoundRow {
  group: string
  explained: Explained<number | null>
}

/** Closed faults of the window with their causes; down time runs from the report to the hand-back. */
export function causesIn(history: History, past: Past): CauseFigures {
  const closures = new Map<string, HistoryClosure>()
  for (const closure of history.closures({ ...past.window, toMs: past.asAtMs + 1 }))
    closures.set(closure.faultId, closure)
  const delays = history.delays()
  const middleMs = (past.window.fromMs + past.window.toMs) / 2
  const [earlier, later]: Cost[][] = [[], []]
  const outcomes: { tree: string; site: string; nothingFound: boolean | null }[] = []
  let faults = 0
  for (const fault of faultsIn(history, past)) {
    faults++
    const closure = closures.get(fault.id)
    const site = past.byId.get(fault.positionId)?.siteName ?? ''
    outcomes.push({ tree: fault.family, site, nothingFound: nothingFound(closure) })
    if (closure === undefined) continue
    ;(fault.atMs < middleMs ? earlier : later)?.push(costOf(fault, closure, delays.get(fault.id) ?? null))
  }
  const [before, after] = [earlier ?? [], later ?? []]
  return {
    faults,
    closed: before.length + after.length,
    byCause: totalsByCause([...before, ...after]),
    earlier: totalsByCause(before),
    later: totalsByCause(after),
    byTree: rates(outcomes.map(one => ({ group: one.tree, nothingFound: one.nothingFound }))),
    bySite: rates(outcomes.map(one => ({ group: one.site, nothingFound: one.nothingFound }))),
  }
}

const measures: [ParetoMeasure, string, string][] = [
  ['count', 'Causes by number of faults', 'faults'],
  ['minutes', 'Causes by minutes out of use', 'minutes'],
  ['delay', 'Causes by minutes of delay', 'minutes of delay'],
]

export function causeCharts(figures: CauseFigures, nameOfCause: (key: string) => string) {
  const paretos = measures.map(([by, title, amountLabel]) => {
    const rows = pareto(figures.byCause, by).filter(row => by === 'count' || row.known > 0)
    return {
      by,
      known: rows.reduce((sum, row) => sum + row.known, 0),
      chart: paretoBars({
        id: `pareto-${by}`,
        title,
        amountLabel,
        rows: rows.map(row => ({
          name: nameOfCause(row.cause),
          amount: row.amount,
          running: row.running,
          n: row.known,
        })),
      }),
    }
  })
  const named = (totals: CauseFigures['byCause']) =>
    totals.map(row => ({ ...row, cause: nameOfCause(row.cause) }))
  const now = logScatter(named(figures.byCause))
  const [before, after] = [logScatter(named(figures.earlier)), logScatter(named(figures.later))]
  const moved = before && after ? arrows(before, after) : []
  const scatter = logScatterChart({
    id: 'scatter',
    title: 'How often against how long, and how it moved from the first half of the window to the second',
    points: after?.points ?? [],
    oftenAbove: after?.oftenAbove ?? 1,
    longAbove: after?.longAbove ?? 1,
    arrows: moved,
  })
  return { paretos, scatter, unplaced: now?.unplaced ?? [] }
}

function costOf(fault: PastFault, closure: HistoryClosure, delayMinutes: number | null): Cost {
  const found = closure.outcome === 'proven cause' || closure.outcome === 'probable cause'
  const minutes = (closure.atMs - fault.atMs) / 60_000
  return {
    cause: found && closure.cause !== null ? closure.cause : closure.outcome,
    minutes: minutes >= 0 ? minutes : null,
    delayMinutes,
  }
}

function nothingFound(closure: HistoryClosure | undefined): boolean | null {
  if (closure === undefined) return null
  if (closure.outcome === 'proven cause' || closure.outcome === 'probable cause') return false
  return closure.outcome === 'not reproduced' || closure.clearedItself ? true : null
}

function rates(outcomes: { group: string; nothingFound: boolean | null }[]): NothingFoundRow[] {
  return nothingFoundByGroup(outcomes).map(row => ({ group: row.group, explained: explainNothingFound(row) }))
}

// What was wrong, how often, how long it took, and how often nothing was found.

import { logScatterChart } from '../charts/log-scatter.ts'
import { paretoBars } from '../charts/pareto-bars.ts'
import type { Explained } from '../history/explained.ts'
import { explainNothingFound, nothingFoundByGroup, type Outcome } from '../history/no-fault-found.ts'
import { arrows, logScatter } from '../history/positions/log-scatter.ts'
import { type Cost, type ParetoMeasure, pareto, totalsByCause } from '../history/positions/pareto.ts'
import type { HistoryClosure } from '../storage/history/history.ts'
import type { History } from '../storage/storage.ts'
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
  const { list } = faultsIn(history, past)
  const endings = readEndings(history, past)
  const delays = history.delays()
  const middle = list.findIndex(fault => fault.atMs >= (past.window.fromMs + past.window.toMs) / 2)
  const half = middle < 0 ? list.length : middle
  const costs = (from: number, to: number) => totalsByCause(costsOf(list, endings, delays, from, to))
  const outcomes = function* (groupOf: (fault: PastFault) => string) {
    for (const [i, fault] of list.entries())
      yield { group: groupOf(fault), nothingFound: endings.nothingFound[i] ?? null }
  }
  return {
    faults: list.length,
    closed: endings.closed,
    byCause: costs(0, list.length),
    earlier: costs(0, half),
    later: costs(half, list.length),
    byTree: rates(outcomes(fault => fault.family)),
    bySite: rates(outcomes(fault => past.byId.get(fault.positionId)?.siteName ?? '')),
  }
}

/** How each fault of the window ended, by its place among them: undefined where it is open. */
interface Endings {
  closed: number
  cause: (string | undefined)[]
  atMs: Float64Array
  nothingFound: (boolean | null | undefined)[]
}

function readEndings(history: History, past: Past): Endings {
  const { list, placeOf } = faultsIn(history, past)
  const names = new Map<string, string>()
  const endings: Endings = { closed: 0, cause: [], atMs: new Float64Array(list.length), nothingFound: [] }
  for (const closure of history.closures({ ...past.window, toMs: past.asAtMs + 1 })) {
    const place = placeOf.get(closure.faultId)
    if (place === undefined) continue
    const cause = causeOf(closure)
    if (!names.has(cause)) names.set(cause, cause)
    endings.closed++
    endings.cause[place] = names.get(cause)
    endings.atMs[place] = closure.atMs
    endings.nothingFound[place] = nothingFound(closure)
  }
  return endings
}

function* costsOf(
  list: readonly PastFault[],
  endings: Endings,
  delays: Map<string, number>,
  from: number,
  to: number,
): Generator<Cost> {
  for (let i = from; i < to; i++) {
    const [fault, cause] = [list[i], endings.cause[i]]
    if (fault === undefined || cause === undefined) continue
    const minutes = ((endings.atMs[i] ?? 0) - fault.atMs) / 60_000
    yield { cause, minutes: minutes >= 0 ? minutes : null, delayMinutes: delays.get(fault.id) ?? null }
  }
}

const measures: [ParetoMeasure, string, string][] = [
  ['count', 'Causes by number of faults', 'faults'],
  ['minutes', 'Causes by minutes out of use', 'minutes'],
  ['delay', 'Causes by minutes of delay', 'minutes of delay'],
]

export function causeCharts(figures: CauseFigures, nameOfCause: (key: string) => string) {
  const paretos = measures.map(([by, title, amountLabel]) => {
    const rows = pareto(figures.byCause.filter(isCause), by).filter(row => by === 'count' || row.known > 0)
    return {
      by,
      known: rows.reduce((sum, row) => sum + row.known, 0),
      chart: paretoBars({
        id: `pareto-${by}`,
        title,
        amountLabel,
        rows: withRest(rows, nameOfCause),
      }),
    }
  })
  const named = (totals: CauseFigures['byCause']) =>
    totals.map(row => ({ ...row, cause: nameOfCause(row.cause) }))
  const now = logScatter(named(figures.byCause))
  const [before, after] = [logScatter(named(figures.earlier)), logScatter(named(figures.later))]
  const moved = before && after ? arrows(before, after).filter(isMore) : []
  const scatter = logScatterChart({
    id: 'scatter',
    title: 'How often against how long, and how it moved from the first half of the window to the second',
    points: after?.points ?? [],
    oftenAbove: after?.oftenAbove ?? 1,
    longAbove: after?.longAbove ?? 1,
    arrows: moved,
  })
  const notCauses = figures.byCause.filter(row => !isCause(row)).sort((a, b) => b.n - a.n)
  return { paretos, scatter, notCauses, unplaced: now?.unplaced ?? [] }
}

/** A cause is `equipment/cause`; how a fault ended without one is a word, and no cause. */
function isCause({ cause }: { cause: string }): boolean {
  return cause.includes('/')
}

const mostBars = 14

/** The largest by name, and one bar for all the others, so that the bars make up the whole. */
function withRest(rows: ReturnType<typeof pareto>, nameOfCause: (key: string) => string) {
  const named = rows.slice(0, mostBars).map(row => ({
    name: nameOfCause(row.cause),
    amount: row.amount,
    running: row.running,
    n: row.known,
  }))
  const rest = rows.slice(mostBars)
  if (rest.length === 0) return named
  const total = (of: (row: (typeof rest)[number]) => number) => rest.reduce((sum, row) => sum + of(row), 0)
  const name = `All ${rest.length} others`
  return [...named, { name, amount: total(row => row.amount), running: 1, n: total(row => row.known) }]
}

/** Of fewer faults than five an arrow would show little but luck. */
function isMore({ from, to }: { from: { n: number }; to: { n: number } }): boolean {
  return from.n + to.n >= 5
}

/** What was not found out counts under how it ended. */
function causeOf({ outcome, cause }: HistoryClosure): string {
  const causeFound = outcome === 'proven cause' || outcome === 'probable cause'
  return causeFound && cause !== null ? cause : outcome
}

function nothingFound(closure: HistoryClosure): boolean | null {
  if (closure.outcome === 'proven cause' || closure.outcome === 'probable cause') return false
  return closure.outcome === 'not reproduced' || closure.clearedItself ? true : null
}

function rates(outcomes: Iterable<Outcome>): NothingFoundRow[] {
  return nothingFoundByGroup(outcomes).map(row => ({ group: row.group, explained: explainNothingFound(row) }))
}

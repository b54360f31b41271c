// Where the time to restore goes.

import { type Moments, type PhaseTime, timeSplit } from '../history/time/time-split.ts'
import type { History } from '../storage/storage.ts'
import { faultsIn, type Past } from './past.ts'

/** How each of the moments is taken from the record; the page says so. */
export const momentWords = [
  ['response', 'from the report to the start of the first attendance'],
  ['access', 'from there to the first finding'],
  ['diagnosis', 'from there to the last finding before the last repair'],
  ['repair', 'from there to that repair'],
  ['test', 'from there to the last proof that was passed'],
  ['hand-back', 'from there to the closure'],
  ['all', 'from the report to the closure'],
] as const

const names = [
  'reported',
  'onSite',
  'accessGiven',
  'causeFound',
  'repaired',
  'tested',
  'handedBack',
] as const satisfies readonly (keyof Moments)[]
type Name = (typeof names)[number]

/**
 * Where a file of past faults did not say when one was put
 * right, that moment is missing, and is counted as such.
 */
export function restoringIn(history: History, past: Past): PhaseTime[] {
  const { list, placeOf } = faultsIn(history, past)
  const columns = createColumns(list.length)
  const window = { fromMs: past.window.fromMs, toMs: past.asAtMs + 1 }
  list.forEach((fault, i) => {
    columns.latest(i, 'reported', fault.atMs)
  })
  for (const { faultId, fromMs } of history.attendances(window))
    columns.earliest(placeOf.get(faultId), 'onSite', fromMs)
  for (const { faultId, atMs, action } of history.repairs(window))
    if (action !== 'nothing changed') columns.latest(placeOf.get(faultId), 'repaired', atMs)
  for (const { faultId, atMs } of history.findingTimes(window)) {
    const place = placeOf.get(faultId)
    columns.earliest(place, 'accessGiven', atMs)
    if (atMs <= columns.at(place, 'repaired')) columns.latest(place, 'causeFound', atMs)
  }
  for (const { faultId, atMs } of history.proofTimes(window))
    columns.latest(placeOf.get(faultId), 'tested', atMs)
  const unknown = history.closedUnknown()
  for (const { faultId, atMs } of history.closures(window))
    if (!unknown.has(faultId)) columns.latest(placeOf.get(faultId), 'handedBack', atMs)
  return timeSplit(columns.moments(i => unknown.has(list[i]?.id ?? '')))
}

/**
 * The moments of each fault by its place; NaN for none. A column
 * a moment: as objects they would take ten times as much.
 */
function createColumns(length: number) {
  const columns = Object.fromEntries(
    names.map(name => [name, new Float64Array(length).fill(Number.NaN)]),
  ) as Record<Name, Float64Array>
  const at = (place: number | undefined, name: Name) => columns[name][place ?? -1] ?? Number.NaN
  const orNull = (value: number | undefined) => (value === undefined || Number.isNaN(value) ? null : value)
  return {
    at,
    earliest(place: number | undefined, name: Name, atMs: number): void {
      if (place !== undefined && !(at(place, name) <= atMs)) columns[name][place] = atMs
    },
    latest(place: number | undefined, name: Name, atMs: number): void {
      if (place !== undefined && !(at(place, name) >= atMs)) columns[name][place] = atMs
    },
    *moments(endUnsaid: (place: number) => boolean): Generator<Moments> {
      for (let i = 0; i < length; i++)
        yield {
          reported: orNull(columns.reported[i]),
          onSite: orNull(columns.onSite[i]),
          accessGiven: orNull(columns.accessGiven[i]),
          causeFound: orNull(columns.causeFound[i]),
          repaired: orNull(columns.repaired[i]),
          tested: orNull(columns.tested[i]),
          handedBack: orNull(columns.handedBack[i]),
          endUnsaid: endUnsaid(i),
        }
    },
  }
}

// Where the time to restore goes.

import { type Moments, type PhaseTime, timeSplit } from '../../../history/time-split.ts'
import type { History } from '../../../storage/storage.ts'
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

/** Where a file of past faults did not say when one was put right, that moment is missing, and is counted as such. */
export function restoringIn(history: History, past: Past): PhaseTime[] {
  const moments = new Map<string, Moments>()
  for (const { id, atMs } of faultsIn(history, past)) moments.set(id, { ...nothing, reported: atMs })
  const window = { fromMs: past.window.fromMs, toMs: past.asAtMs + 1 }
  for (const { faultId, fromMs } of history.attendances(window))
    earliest(moments.get(faultId), 'onSite', fromMs)
  for (const { faultId, atMs, action } of history.repairs(window))
    if (action !== 'nothing changed') latest(moments.get(faultId), 'repaired', atMs)
  for (const { faultId, atMs } of history.findingTimes(window)) {
    const own = moments.get(faultId)
    earliest(own, 'accessGiven', atMs)
    if (own !== undefined && own.repaired !== null && atMs <= own.repaired) latest(own, 'causeFound', atMs)
  }
  for (const { faultId, atMs } of history.proofTimes(window)) latest(moments.get(faultId), 'tested', atMs)
  const unknown = history.closedUnknown()
  for (const { faultId, atMs } of history.closures(window))
    if (!unknown.has(faultId)) latest(moments.get(faultId), 'handedBack', atMs)
  for (const faultId of unknown) {
    const own = moments.get(faultId)
    if (own !== undefined) own.endUnsaid = true
  }
  return timeSplit(moments.values())
}

const nothing: Moments = {
  reported: null,
  onSite: null,
  accessGiven: null,
  causeFound: null,
  repaired: null,
  tested: null,
  handedBack: null,
}

type Moment = Exclude<keyof Moments, 'endUnsaid'>

function earliest(own: Moments | undefined, name: Moment, atMs: number): void {
  if (own !== undefined && (own[name] === null || atMs < own[name])) own[name] = atMs
}

function latest(own: Moments | undefined, name: Moment, atMs: number): void {
  if (own !== undefined && (own[name] === null || atMs > own[name])) own[name] = atMs
}

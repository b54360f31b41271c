// The faults of a window as the review counts them, with what was left out and why.

import { type Basis, countsOf, type Window } from '../history/basis.ts'
import { gapsWithin, joinSpans, knownMs, knownSources, spansWithin } from '../history/known.ts'
import { dayMs, serviceDays } from '../history/positions/exposure.ts'
import type { Exposed } from '../history/positions/offenders.ts'
import type { HistoryPosition } from '../storage/history/history.ts'
import type { History } from '../storage/storage.ts'

export interface Past {
  /** What was asked for, from the first moment that is known to the last. */
  window: Window
  /** The parts of the window of which faults are known, in order, and those between. */
  known: Window[]
  gaps: Window[]
  /** All known stretches of time, in the window or not. */
  spans: Window[]
  /** Known time of the window. */
  knownDays: number
  /** Why faults after the window's end are not known; null when the record is kept up to now. */
  knownUntilMs: number | null
  asAtMs: number
  basis: Basis
  positions: HistoryPosition[]
  byId: Map<string, HistoryPosition>
  families: PastFamily[]
}

/** What one position had of one symptom. */
export interface PastFamily {
  position: HistoryPosition
  /** The fault tree. */
  family: string
  /** Moments of the faults that count, ascending, with those of `leadDays` before the window. */
  times: number[]
  /** Index of the first in the window. */
  first: number
}

const duplicateMs = 3_600_000

/**
 * Time of which no faults are known is no time without faults: the window begins with the first known moment and ends
 * with the last, and what lies between known stretches counts as time out of service does.
 */
export function readPast(history: History, asked: Window, asAtMs: number, leadDays = 0): Past {
  const spans = faultSpans(history, asAtMs)
  const window = knownWindow(spans, asked)
  const [known, gaps] = [spansWithin(spans, window), gapsWithin(spans, window)]
  const positions = history.positions().map(one => (gaps.length === 0 ? one : { ...one, outages: gaps }))
  const byId = new Map(positions.map(position => [position.id, position]))
  const excluded = new Map<string, number>()
  const families: PastFamily[] = []
  let n = 0
  const lead = { fromMs: window.fromMs - leadDays * dayMs, toMs: window.toMs }
  for (const { positionId, family, timesMs } of history.families(lead)) {
    const position = byId.get(positionId)
    if (position === undefined) continue
    const leftOut = (reason: string, at: number) => {
      if (at >= window.fromMs) excluded.set(reason, (excluded.get(reason) ?? 0) + 1)
    }
    const times = countedTimes(position, timesMs, leftOut)
    const first = firstFrom(times, window.fromMs)
    n += times.length - first
    families.push({ position, family, times, first })
  }
  const basis = { ...window, asAtMs, n, excluded: countsOf(excluded), unknown: gaps }
  const [knownDays, last] = [knownMs(spans, window) / dayMs, spans.at(-1)?.toMs ?? null]
  const knownUntilMs = last !== null && last < asAtMs ? last : null
  return { window, spans, known, gaps, knownDays, knownUntilMs, asAtMs, basis, positions, byId, families }
}

/** The same up to a later moment, where the record is kept up to now. */
export function spansUpTo({ spans, knownUntilMs }: Past, nowMs: number): Window[] {
  const last = spans.at(-1)
  return last === undefined || knownUntilMs !== null
    ? spans
    : [...spans.slice(0, -1), { ...last, toMs: Math.max(last.toMs, nowMs) }]
}

/** The stretches of time of which all faults are known, disjoint and in order. */
export function faultSpans(history: History, asAtMs: number): Window[] {
  return joinSpans(knownSources(history.faultSources(), asAtMs).map(source => source.span))
}

/** Moments come in whole seconds. */
function knownWindow(spans: readonly Window[], asked: Window): Window {
  const inside = spansWithin(spans, asked)
  const [first, last] = [inside[0], inside.at(-1)]
  if (first === undefined || last === undefined) return { fromMs: asked.toMs, toMs: asked.toMs }
  return { fromMs: Math.floor(first.fromMs / 1000) * 1000, toMs: last.toMs }
}

/**
 * Each position's faults against its days in service in the
 * window; those never in service in it are left out.
 */
export function exposedIn({ positions, families, window }: Past): Exposed[] {
  const counts = new Map<HistoryPosition, number>()
  for (const { position, times, first } of families)
    counts.set(position, (counts.get(position) ?? 0) + times.length - first)
  return positions.flatMap(position => {
    const days = serviceDays(position, window)
    const faults = counts.get(position) ?? 0
    return days > 0 ? [{ id: position.id, kind: position.equipment, faults, serviceDays: days }] : []
  })
}

export interface PastSystem {
  position: HistoryPosition
  /** Days of each fault from the start of its watching, ascending. */
  times: number[]
  /** Days watched. */
  end: number
}

/** Every position's part of the window in which it was in service, with its faults. */
export function systemsIn({ positions, families, window }: Past): PastSystem[] {
  const moments = new Map<HistoryPosition, number[]>()
  for (const { position, times, first } of families) {
    const positionTimes = moments.get(position) ?? []
    if (positionTimes.length === 0) moments.set(position, positionTimes)
    for (let i = first; i < times.length; i++) positionTimes.push(times[i] ?? 0)
  }
  return positions.flatMap(position => {
    const startMs = Math.max(window.fromMs, position.inServiceMs)
    const end = serviceDays(position, window)
    if (end <= 0) return []
    const sinceStart = knownClock(position, startMs)
    const times = (moments.get(position) ?? []).sort((a, b) => a - b).map(sinceStart)
    return [{ position, times, end }]
  })
}

/** Days of known time from a moment on; time of which nothing is known takes none. */
export function knownClock(position: HistoryPosition, startMs: number): (atMs: number) => number {
  if ((position.outages ?? []).length === 0) return atMs => (atMs - startMs) / dayMs
  return atMs => serviceDays(position, { fromMs: startMs, toMs: atMs })
}

export interface PastFault {
  id: string
  positionId: string
  family: string
  atMs: number
}

export interface PastFaults {
  /** In order of time. */
  list: PastFault[]
  /** Place in the list by the fault's id. */
  placeOf: Map<string, number>
}

const readAlready = new WeakMap<Past, WeakRef<PastFaults>>()

/**
 * The faults of the window one by one, without those left out. Several figures of one page want them, so they
 * are read once for it; held weakly, as two hundred thousand of them are not to be kept between pages.
 */
export function faultsIn(history: History, past: Past): PastFaults {
  const cached = readAlready.get(past)?.deref()
  if (cached !== undefined) return cached
  const list = [...countedFaults(history, past)]
  const faults = { list, placeOf: new Map(list.map((fault, i) => [fault.id, i])) }
  readAlready.set(past, new WeakRef(faults))
  return faults
}

function* countedFaults(history: History, past: Past): Generator<PastFault> {
  const newest = new Map<HistoryPosition, Map<string, number>>()
  const names = new Map<string, string>()
  for (const { id, positionId, family, atMs } of history.faults(past.window)) {
    const position = past.byId.get(positionId)
    if (position === undefined) continue
    const byFamily = newest.get(position) ?? new Map<string, number>()
    if (byFamily.size === 0) newest.set(position, byFamily)
    const latest = byFamily.get(family)
    byFamily.set(family, atMs)
    if (reasonToLeaveOut(position, latest, atMs) !== null) continue
    // One text for all faults of a symptom: each by itself would hold on to what it was read out of.
    const name = names.get(family) ?? family
    if (name === family) names.set(family, family)
    yield { id, positionId: position.id, family: name, atMs }
  }
}

function countedTimes(
  position: HistoryPosition,
  timesMs: number[],
  leftOut: (reason: string, at: number) => void,
): number[] {
  return timesMs.filter((at, i) => {
    const reason = reasonToLeaveOut(position, timesMs[i - 1], at)
    if (reason !== null) leftOut(reason, at)
    return reason === null
  })
}

/** The same symptom at the same position within the hour is taken for the same fault reported twice. */
function reasonToLeaveOut(position: HistoryPosition, before: number | undefined, at: number): string | null {
  if (before !== undefined && at - before <= duplicateMs) return 'reported again within the hour'
  if ((position.outages ?? []).some(gap => at >= gap.fromMs && at < gap.toMs))
    return 'in time of which the record is not whole'
  const out =
    at < Math.floor(position.inServiceMs / 1000) * 1000 || at >= (position.outOfServiceMs ?? Infinity)
  return out ? 'at a position that was not in service' : null
}

function firstFrom(times: number[], fromMs: number): number {
  const first = times.findIndex(at => at >= fromMs)
  return first < 0 ? times.length : first
}

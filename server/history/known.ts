// What stretches of time a record covers. Time without a record is neither health nor exposure, so every figure
// counts known time only.

import type { Window } from './basis.ts'
import { dayMs } from './positions/exposure.ts'

export type RecordKind = 'faults' | 'rounds' | 'unit changes' | 'temperatures'

/** One source of one kind of record: what was kept here, or a file that came in. */
export interface RecordSource {
  kind: RecordKind
  /** `here`, or the id of an import. */
  source: string
  name: string
  /** Moments of its first and its last entry. */
  firstMs: number
  lastMs: number
  /** Entries, and the different days that have any. */
  entries: number
  days: number
  /** What an engineer has said of it; the end null: kept up to now. */
  stated: { fromMs: number; toMs: number | null; by: string; words: string } | null
}

/** Up to when a source is taken to be whole, and why. */
export interface KnownSource extends RecordSource {
  span: Window
  why: 'said by an engineer' | 'kept here' | 'silent since' | 'as the file has it'
}

/** A silence that the pace of the record up to then would leave to luck less often than this ends it. */
const silenceByLuck = 0.001

/** Each source with the span taken as known; `asAtMs`: nothing later is known by anybody. */
export function knownSources(sources: readonly RecordSource[], asAtMs: number): KnownSource[] {
  return sources.flatMap(source => {
    const known = knownSource(source, asAtMs)
    return known.span.toMs > known.span.fromMs ? [known] : []
  })
}

function knownSource(source: RecordSource, asAtMs: number): KnownSource {
  const { stated, firstMs, lastMs } = source
  if (stated !== null) {
    const span = { fromMs: stated.fromMs, toMs: Math.min(asAtMs, stated.toMs ?? asAtMs) }
    return { ...source, span, why: 'said by an engineer' }
  }
  if (source.source !== 'here') {
    const span = { fromMs: startOfDay(firstMs), toMs: Math.min(asAtMs, startOfDay(lastMs) + dayMs) }
    return { ...source, span, why: 'as the file has it' }
  }
  const silent = isSilent(source, asAtMs)
  const toMs = silent ? Math.min(asAtMs, lastMs + 1000) : asAtMs
  return {
    ...source,
    span: { fromMs: wholeSecond(firstMs), toMs },
    why: silent ? 'silent since' : 'kept here',
  }
}

/**
 * Chance of no entry for so long, days with entries coming at a steady unknown pace: (t / (t + s))^n, the gamma–Poisson
 * predictive chance of none in s after n in t (Gelman and others, Bayesian Data Analysis, section 2.6, with the prior
 * that is flat in the logarithm of the pace).
 */
function isSilent({ firstMs, lastMs, days }: RecordSource, asAtMs: number): boolean {
  const [t, s] = [lastMs - firstMs, asAtMs - lastMs]
  if (days < 2 || s <= 0 || t <= 0) return false
  return (t / (t + s)) ** (days - 1) < silenceByLuck
}

/** The union of the spans, in order. */
export function joinSpans(spans: readonly Window[]): Window[] {
  const joined: Window[] = []
  for (const span of spans.toSorted((a, b) => a.fromMs - b.fromMs)) {
    const last = joined.at(-1)
    if (span.toMs <= span.fromMs) continue
    if (last !== undefined && span.fromMs <= last.toMs) last.toMs = Math.max(last.toMs, span.toMs)
    else joined.push({ fromMs: span.fromMs, toMs: span.toMs })
  }
  return joined
}

/** The parts of the spans, disjoint and in order, that lie in the window. */
export function spansWithin(spans: readonly Window[], { fromMs, toMs }: Window): Window[] {
  return spans.flatMap(span => {
    const part = { fromMs: Math.max(span.fromMs, fromMs), toMs: Math.min(span.toMs, toMs) }
    return part.toMs > part.fromMs ? [part] : []
  })
}

/** What of the window lies in none of the spans. */
export function gapsWithin(spans: readonly Window[], window: Window): Window[] {
  const gaps: Window[] = []
  let reached = window.fromMs
  for (const span of spansWithin(spans, window)) {
    if (span.fromMs > reached) gaps.push({ fromMs: reached, toMs: span.fromMs })
    reached = span.toMs
  }
  if (window.toMs > reached) gaps.push({ fromMs: reached, toMs: window.toMs })
  return gaps
}

export function knownMs(spans: readonly Window[], window: Window): number {
  return spansWithin(spans, window).reduce((sum, { fromMs, toMs }) => sum + toMs - fromMs, 0)
}

export function isKnown(spans: readonly Window[], ms: number): boolean {
  return spans.some(({ fromMs, toMs }) => ms >= fromMs && ms < toMs)
}

function wholeSecond(ms: number): number {
  return Math.floor(ms / 1000) * 1000
}

function startOfDay(ms: number): number {
  return Math.floor(ms / dayMs) * dayMs
}

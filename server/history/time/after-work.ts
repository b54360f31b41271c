// Faults that start soon after work on the same position or a
// neighbour, and whether there are more than luck gives.

import { binomialAtLeast } from '../../statistics/beta.ts'
import { chanceWords, countWords, numberWords } from '../../words.ts'
import type { Window } from '../basis.ts'
import { cannotSay, type Explained, term } from '../explained.ts'
import { groupBy } from '../group-by.ts'
import { dayMs } from '../positions/exposure.ts'

export interface Work {
  id: string
  positionId: string
  atMs: number
  words: string
}

export interface WorkLink {
  faultId: string
  positionId: string
  work: Work
  /** Work on the position itself, or on a neighbour. */
  where: 'same' | 'neighbour'
  daysAfter: number
  soon: boolean
}

export interface AfterWorkOptions {
  neighboursOf: (positionId: string) => readonly string[]
  /** Up to how long after work a fault is soon after it. */
  soonDays?: number
  /** How long the link counts at all: trouble has begun with work eighteen months before. */
  keepDays?: number
}

/**
 * For each fault the latest work before it on the same or a neighbouring position, if recent enough to keep.
 */
export function* linkToWork(
  faults: Iterable<{ id: string; positionId: string; atMs: number }>,
  works: readonly Work[],
  { neighboursOf, soonDays = 30, keepDays = 548 }: AfterWorkOptions,
): Generator<WorkLink> {
  const worksAt = sortedWorks(works)
  const near = new Map<string, Work[][]>()
  for (const fault of faults) {
    const around =
      near.get(fault.positionId) ??
      neighboursOf(fault.positionId).flatMap(id => {
        const works = worksAt.get(id)
        return works === undefined ? [] : [works]
      })
    near.set(fault.positionId, around)
    const latestWork = latestBefore(worksAt.get(fault.positionId), fault.atMs)
    const nearest = latestOf(around, fault.atMs)
    const work = (latestWork?.atMs ?? -Infinity) >= (nearest?.atMs ?? -Infinity) ? latestWork : nearest
    if (work === null) continue
    const daysAfter = (fault.atMs - work.atMs) / dayMs
    const where = work === latestWork ? 'same' : 'neighbour'
    if (daysAfter <= keepDays)
      yield {
        faultId: fault.id,
        positionId: fault.positionId,
        work,
        where,
        daysAfter,
        soon: daysAfter <= soonDays,
      }
  }
}

/** Days of one position inside the window that lie within `soonDays` after any of the works, counted once. */
export function daysSoonAfter(worksMs: readonly number[], window: Window, soonDays = 30): number {
  let total = 0
  let reached = window.fromMs
  for (const at of worksMs.toSorted((a, b) => a - b)) {
    const from = Math.max(at, reached)
    const to = Math.min(at + soonDays * dayMs, window.toMs)
    if (to <= from) continue
    total += to - from
    reached = to
  }
  return total / dayMs
}

/**
 * Whether more faults fall soon after work than their share of
 * the time; the chance is binomial, given the total.
 */
export function explainAfterWork(
  soon: { faults: number; days: number },
  all: { faults: number; days: number },
): Explained<number | null> {
  const terms = [
    term('soon after', soon.faults, 'faults soon after work on the position or a neighbour'),
    term('days soon after', soon.days, 'days in service that were soon after work'),
    term('faults', all.faults, 'all faults, n'),
    term('days', all.days, 'all days in service'),
  ]
  if (!(all.days > soon.days) || all.faults === 0)
    return cannotSay('Nothing to compare with: no faults, or all the time was soon after work.', terms)
  const expected = ((all.faults - soon.faults) * soon.days) / (all.days - soon.days)
  const chance = binomialAtLeast(soon.faults, all.faults, soon.days / all.days)
  const words = `${countWords(soon.faults, 'fault')} soon after work; ${numberWords(expected)} would be usual; ${chanceWords(chance)}`
  return {
    value: chance,
    words,
    terms: [...terms, term('expected', expected, 'at the rate of the rest of the time')],
  }
}

function sortedWorks(works: readonly Work[]): Map<string, Work[]> {
  const worksAt = groupBy(works, work => work.positionId)
  for (const works of worksAt.values()) works.sort((a, b) => a.atMs - b.atMs)
  return worksAt
}

function latestOf(all: readonly Work[][], atMs: number): Work | null {
  let latest: Work | null = null
  for (const works of all) {
    const work = latestBefore(works, atMs)
    if (work !== null && work.atMs > (latest?.atMs ?? -Infinity)) latest = work
  }
  return latest
}

function latestBefore(works: readonly Work[] | undefined, atMs: number): Work | null {
  if (works === undefined) return null
  let [low, high] = [-1, works.length]
  while (high - low > 1) {
    const middle = (low + high) >> 1
    if ((works[middle]?.atMs ?? Infinity) < atMs) low = middle
    else high = middle
  }
  return works[low] ?? null
}

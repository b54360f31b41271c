// Place-keeping: every check of the tree as it stands in this walk, each with one of five marks.

import { findCheck, reachable, reachableFrom, refKey, refOf } from '../knowledge/graph.ts'
import type { Check, Knowledge } from '../knowledge/types.ts'
import type { Step, Walk } from './place.ts'
import type { CheckFinding } from './record.ts'

export interface PlaceRow {
  kind: 'done' | 'current' | 'skipped' | 'open' | 'not applicable'
  title: string
  /** Null for what is no check: the cause or the end the walk stands at. */
  check: Check | null
  /** What was found at a check that is done. */
  finding: CheckFinding | null
  /** Why a check was skipped or what followed from it; '' where there is nothing to say. */
  because: string
}

/**
 * Done and skipped in the order walked, then where the walk stands, then the checks it may still reach, then
 * those it can no longer reach, both in the author's order.
 */
export function placeList(knowledge: Knowledge, tree: string, walk: Walk): PlaceRow[] {
  const walked = walk.path.flatMap(step => walkedRow(knowledge, step))
  const here = currentRow(walk)
  const met = new Set([...walked, ...here].flatMap(row => (row.check ? [keyOf(row.check)] : [])))
  const ahead = stillAhead(knowledge, walk)
  const faultTree = knowledge.trees.get(tree)
  const rest = faultTree ? reachable(knowledge, faultTree).checks.filter(check => !met.has(keyOf(check))) : []
  const row = (kind: PlaceRow['kind']) => (check: Check) => blank(kind, check.title, check)
  return [
    ...walked,
    ...here,
    ...rest.filter(check => ahead.has(keyOf(check))).map(row('open')),
    ...rest.filter(check => !ahead.has(keyOf(check))).map(row('not applicable')),
  ]
}

function walkedRow(knowledge: Knowledge, step: Step): PlaceRow[] {
  switch (step.kind) {
    case 'check': {
      const { check, finding, because } = step
      return [{ kind: 'done', title: check.title, check, finding, because }]
    }
    case 'departure': {
      const [tree = '', slug = ''] = step.from.split('#')
      const left = findCheck(knowledge, { tree, check: slug })
      return left ? [{ ...blank('skipped', left.title, left), because: step.finding.reason ?? '' }] : []
    }
    case 'rejection':
      return []
  }
}

function currentRow({ place }: Walk): PlaceRow[] {
  switch (place.kind) {
    case 'check':
      return [blank('current', place.check.title, place.check)]
    case 'cause':
      return [blank('current', place.cause.title, null)]
    case 'end':
      return [blank('current', place.end.title, null)]
    case 'choose':
    case 'lost':
      return []
  }
}

function stillAhead(knowledge: Knowledge, { place }: Walk): ReadonlySet<string> {
  if (place.kind === 'choose') return new Set(place.offers.map(keyOf))
  if (place.kind !== 'check') return new Set()
  return new Set(reachableFrom(knowledge, refOf(place.check)).keys())
}

function blank(kind: PlaceRow['kind'], title: string, check: Check | null): PlaceRow {
  return { kind, title, check, finding: null, because: '' }
}

const keyOf = (check: Check): string => refKey(refOf(check))

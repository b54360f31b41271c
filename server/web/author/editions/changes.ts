import { type Change, compareKnowledge } from '../../../knowledge/editions/compare.ts'
import type { Knowledge } from '../../../knowledge/types.ts'
import type { Deps } from '../../deps.ts'

export interface Changes {
  changes: Change[]
  /** Open faults whose tree changes; they stay on the edition they began with. */
  running: { id: string; where: string; symptom: string }[]
  /** Checks whose readings, already on record, would be held against something else or belong nowhere. */
  figures: { check: string; where: string; readings: number; why: string }[]
}

export const noChanges: Changes = { changes: [], running: [], figures: [] }

/** What differs between two editions, and what that touches. */
export function changesBetween(deps: Deps, before: Knowledge, after: Knowledge): Changes {
  const changes = compareKnowledge(before, after)
  const paths = new Set(changes.map(change => change.path))
  const touched = [...before.trees.values()].filter(
    tree => paths.has(tree.source.path) || paths.has(`equipment/${tree.equipment}.md`),
  )
  const trees = new Set(touched.map(tree => tree.slug))
  return {
    changes,
    running: deps.storage.faults
      .listOpen()
      .filter(fault => trees.has(fault.tree))
      .map(fault => ({
        id: fault.id,
        where: `${fault.siteName}, ${fault.positionName}`,
        symptom: fault.symptom,
      })),
    figures: [...figuresOf(before, changes)].flatMap(([check, { where, why }]) => {
      const [tree = '', slug = ''] = check.split('#')
      const readings = deps.storage.walked.countReadings(tree, slug)
      return readings > 0 ? [{ check, where, readings, why }] : []
    }),
  }
}

function figuresOf(before: Knowledge, changes: Change[]): Map<string, { where: string; why: string }> {
  const removed = new Map<string, { where: string; why: string }>()
  for (const change of changes) {
    const isRemovedCheck = change.what === 'Check' && change.kind === 'removed'
    if (change.check && (change.touches === 'range' || isRemovedCheck))
      removed.set(change.check, {
        where: change.where,
        why: isRemovedCheck ? 'the check goes' : `${change.what} changes`,
      })
    if (change.what === 'Limit') for (const one of measuredBy(before, change)) removed.set(...one)
  }
  return removed
}

/** Checks held against a limit of the equipment's table. */
function measuredBy(before: Knowledge, limit: Change): [string, { where: string; why: string }][] {
  const slug = limit.path.replace(/^equipment\/|\.md$/g, '')
  return [...before.trees.values()]
    .filter(tree => tree.equipment === slug)
    .flatMap(tree => [...tree.checks.values()])
    .filter(({ does }) => does.kind === 'measure' && does.limit === limit.where)
    .map(check => [
      `${check.tree}#${check.slug}`,
      { where: check.title, why: `the limit “${limit.where}” changes` },
    ])
}

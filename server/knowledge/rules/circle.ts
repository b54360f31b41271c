import { findCheck } from '../graph.ts'
import type { Problem } from '../problem.ts'
import type { Check, Knowledge, Row } from '../types.ts'
import type { GraphContext } from './context.ts'
import { problemAt, quoted } from './problem-at.ts'

interface Hop {
  check: Check
  row: Row
}

/**
 * Rows that lead back to a check already made. Its finding is known, so the walk would go round for ever.
 * Each circle is told once, with every hop of it.
 */
export function circle(context: GraphContext): Problem[] {
  const docs = new Map([...context.drafts.trees].map(({ doc }) => [doc.path, doc]))
  return circles(context.knowledge).flatMap(hops => {
    const last = hops.at(-1)
    const first = hops[0]
    const doc = last && docs.get(last.row.source.path)
    if (!last || !first || !doc) return []
    return problemAt(doc, last.row.source.line, {
      code: 'circle',
      found: `The row ${quoted(last.row.label)} leads back to ${quoted(first.check.title)}: a circle without an end.`,
      expected: 'No path comes back to a check that was made already.',
      mend: 'To measure again, write a second check, such as “Supply after cleaning”, and lead there.',
      related: hops.slice(0, MOST_SHOWN).map(({ check, row }) => ({
        source: row.source,
        note: `from ${quoted(check.title)} by the row ${quoted(row.label)}`,
      })),
    })
  })
}

/** Circles told, and hops shown of each; a hostile file may have thousands. */
const MOST_SHOWN = 20

interface Standing {
  check: Check
  next: number
}

/** Depth first, without recursion: a hostile chain of checks must not exhaust the stack. */
function circles(knowledge: Knowledge): Hop[][] {
  const done = new Set<Check>()
  const circles: Hop[][] = []
  for (const tree of knowledge.trees.values()) {
    for (const check of tree.checks.values()) {
      if (!done.has(check)) visit(knowledge, check, done, hops => circles.push(hops))
    }
  }
  return circles.slice(0, MOST_SHOWN)
}

function visit(knowledge: Knowledge, start: Check, done: Set<Check>, tell: (hops: Hop[]) => void) {
  const trail: Standing[] = [{ check: start, next: 0 }]
  const onTrail = new Map([[start, 0]])
  let told = 0
  for (let top = trail.at(-1); top; top = trail.at(-1)) {
    const row = top.check.rows[top.next++]
    const target = row?.next.kind === 'check' ? findCheck(knowledge, row.next) : null
    if (!row) {
      done.add(top.check)
      onTrail.delete(top.check)
      trail.pop()
    }
    if (!target || done.has(target)) continue
    const from = onTrail.get(target)
    if (from === undefined) {
      onTrail.set(target, trail.length)
      trail.push({ check: target, next: 0 })
    } else if (told++ < MOST_SHOWN) tell(trail.slice(from).flatMap(hopOf))
  }
}

function hopOf({ check, next }: Standing): Hop[] {
  const row = check.rows[next - 1]
  return row ? [{ check, row }] : []
}

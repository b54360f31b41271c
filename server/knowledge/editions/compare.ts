// Compares two editions by what they say, check by check and row by row, not by line.

import type { Knowledge } from '../types.ts'
import { type Statement, statementsOf } from './statements.ts'

export interface Change extends Omit<Statement, 'text' | 'within'> {
  kind: 'added' | 'removed' | 'changed'
  before: string | null
  after: string | null
}

/** In the order of the files and their parts; removals before additions. */
export function compareKnowledge(before: Knowledge, after: Knowledge): Change[] {
  const old = byKey(statementsOf(before))
  const now = byKey(statementsOf(after))
  const keys = [...new Set([...old.keys(), ...now.keys()])]
  const changes = keys.flatMap(key => {
    const change = changeOf(old.get(key), now.get(key))
    return change && !toldAlready(change.within, old, now) ? [change] : []
  })
  return changes
    .map(({ within: _within, ...change }) => change)
    .sort((a, b) => (a.path < b.path ? -1 : a.path > b.path ? 1 : 0))
}

function byKey(statements: Statement[]): Map<string, Statement> {
  return new Map(statements.map(one => [one.key, one]))
}

function changeOf(old?: Statement, now?: Statement): (Change & { within: string | null }) | null {
  const one = now ?? old
  if (!one || old?.text === now?.text) return null
  const { text: _text, ...said } = one
  const kind = !old ? 'added' : now ? 'changed' : 'removed'
  return { ...said, kind, before: old?.text ?? null, after: now?.text ?? null }
}

function toldAlready(
  within: string | null,
  old: Map<string, Statement>,
  now: Map<string, Statement>,
): boolean {
  if (within === null) return false
  if (old.has(within) !== now.has(within)) return true
  return toldAlready((old.get(within) ?? now.get(within))?.within ?? null, old, now)
}

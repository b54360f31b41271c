import { visitState } from '../../../history/positions/dead-time.ts'
import type { PositionDue } from '../../../storage/storage.ts'
import { duration } from '../../../times.ts'
import type { Deps } from '../../deps.ts'

/** When it was last seen healthy and when it is due, in words, with its mark. A new position counts from going into service. */
export function dueWords(deps: Deps, row: PositionDue) {
  const { times } = deps
  const now = deps.clock().getTime()
  const since = row.lastHealthy ?? row.inService
  const ago = duration(Math.max(0, now - Date.parse(since)) / 60_000)
  const seen = row.lastHealthy ? `${times.day(row.lastHealthy)}, ${ago} ago` : `never, in ${ago} of service`
  const base = { seen, how: row.seenHow }
  if (row.intervalDays === null)
    return { ...base, due: 'no interval set', mark: { kind: 'no-verdict', word: 'no interval' } }
  const { dueMs, state } = visitState(Date.parse(since), row.intervalDays, now)
  return { ...base, due: times.day(new Date(dueMs).toISOString()), mark: marks[state] }
}

const marks = {
  overdue: { kind: 'above', word: 'overdue' },
  due: { kind: 'open', word: 'due' },
  'not yet': { kind: 'in', word: 'not yet due' },
} as const

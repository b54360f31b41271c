// Row cache: invalidated row by row by our own writes, cleared by another program's. Cached values are frozen, since
// many callers share them.

import { atEndOfTurn } from '#platform'
import { type Connection, scalar } from './sql.ts'
import type { Touched, TrailRecorder } from './trail-recorder.ts'

export interface RowCache<T> {
  /** From the cache, or read with `read`. */
  get(id: string): T
  /** For a change that the trail does not record. */
  invalidate(id: string): void
}

export interface RowCaching<T> {
  /** The most recently used stay. */
  maxEntries: number
  read(id: string): T
  /** Which entry a change makes out of date: one by its id, 'all', or none. */
  invalidates(touched: Touched): string | 'all' | null
}

export function createRowCache<T>(
  db: Connection,
  trail: TrailRecorder,
  { maxEntries, read, invalidates }: RowCaching<T>,
): RowCache<T> {
  const entries = createRecent<T>(maxEntries)
  const version = versionOf(db)
  let seenVersion = version()

  trail.onChange(touched => {
    const id = touched === null ? 'all' : invalidates(touched)
    if (id === 'all') entries.clear()
    else if (id !== null) entries.delete(id)
  })

  return {
    invalidate: entries.delete,
    get(id) {
      const now = version()
      if (now !== seenVersion) entries.clear()
      seenVersion = now
      return entries.get(id) ?? entries.set(id, freeze(read(id)))
    },
  }
}

/**
 * At least the half of `maxEntries` that were used last. Two generations: an entry that is used moves from the older to
 * the newer, which becomes the older when it is half full. To order all entries by each use would cost more than all
 * else that is done here.
 */
function createRecent<T>(maxEntries: number) {
  const half = Math.max(1, Math.floor(maxEntries / 2))
  let newer = new Map<string, T>()
  let older = new Map<string, T>()

  function set(id: string, value: T): T {
    if (newer.size >= half) {
      older = newer
      newer = new Map()
    }
    newer.set(id, value)
    return value
  }

  return {
    set,
    get(id: string): T | undefined {
      const recent = newer.get(id)
      if (recent !== undefined) return recent
      const value = older.get(id)
      return value === undefined ? undefined : set(id, value)
    },
    delete(id: string): void {
      newer.delete(id)
      older.delete(id)
    },
    clear(): void {
      newer.clear()
      older.clear()
    },
  }
}

interface Version {
  (): number
  /** The answer for the rest of this turn of the event loop; null to ask SQLite each time. */
  thisTurn: number | null
}

const versions = new WeakMap<Connection, Version>()
const dataVersion = scalar<[], number>('PRAGMA data_version')

/** A number that changes with what another connection writes to the file. */
function versionOf(db: Connection): Version {
  const existing = versions.get(db)
  if (existing) return existing
  const version: Version = Object.assign(() => version.thisTurn ?? dataVersion(db).get() ?? 0, {
    thisTurn: null,
  })
  versions.set(db, version)
  return version
}

/** Looks now for what another program wrote, and not again in this turn of the event loop: for answers to a request. */
export function lookOnce(db: Connection): void {
  const version = versionOf(db)
  if (version.thisTurn !== null) return
  version.thisTurn = version()
  atEndOfTurn(() => {
    version.thisTurn = null
  })
}

function freeze<T>(value: T): T {
  if (typeof value !== 'object' || value === null || Object.isFrozen(value)) return value
  for (const part of Object.values(value)) freeze(part)
  return Object.freeze(value)
}

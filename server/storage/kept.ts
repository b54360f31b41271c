// What was read last is kept until something it was read from changes: by this program, row by row, or by anybody else
// who has the file open, whole. What is kept is frozen, since many will hold it.

import type { Database } from './database.ts'
import type { TrailKeeper } from './trail-keeper.ts'

/** What a change touches: the row by its key, and the fault whose row it was, or null when it can't be told. */
export type Touched = { table: string; key: string; faultId: string | null }

export interface Kept<T> {
  /** From memory, or read with `read`. */
  get(id: string): T
  /** For a change that the trail does not follow. */
  forget(id: string): void
}

export interface Keeping<T> {
  /** How many at most; the one asked for longest ago goes first. */
  most: number
  read(id: string): T
  /** Which of those kept a change spoils: one by its id, 'all', or none. */
  spoiledBy(touched: Touched): string | 'all' | null
}

export function createKept<T>(
  db: Database,
  trail: TrailKeeper,
  { most, read, spoiledBy }: Keeping<T>,
): Kept<T> {
  const kept = new Map<string, T>()
  const version = db.prepare<[], number>('PRAGMA data_version').pluck()
  let seen = version.get()

  trail.onChange(touched => {
    const spoiled = touched === null ? 'all' : spoiledBy(touched)
    if (spoiled === 'all') kept.clear()
    else if (spoiled !== null) kept.delete(spoiled)
  })

  return {
    forget: id => void kept.delete(id),
    get(id) {
      const now = version.get()
      if (now !== seen) kept.clear()
      seen = now
      const known = kept.get(id)
      if (known !== undefined) kept.delete(id)
      const value = known ?? freeze(read(id))
      kept.set(id, value)
      if (kept.size > most) forgetOldest(kept)
      return value
    },
  }
}

function forgetOldest(kept: Map<string, unknown>): void {
  for (const [oldest] of kept) {
    kept.delete(oldest)
    return
  }
}

function freeze<T>(value: T): T {
  if (typeof value !== 'object' || value === null || Object.isFrozen(value)) return value
  for (const part of Object.values(value)) freeze(part)
  return Object.freeze(value)
}

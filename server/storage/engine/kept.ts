// What was read last is kept until something it was read from changes: by this program, row by row, or by anybody else
// who has the file open, whole. What is kept is frozen, since many will hold it.

import { atEndOfTurn } from '#platform'
import type { Database } from './database.ts'
import type { Touched, TrailKeeper } from './trail-keeper.ts'

export interface Kept<T> {
  /** From memory, or read with `read`. */
  get(id: string): T
  /** For a change that the trail does not follow. */
  forget(id: string): void
}

export interface Keeping<T> {
  /** How many at most; those asked for longest ago go first. */
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
  // Two generations: what is asked for is moved from the earlier to the later, which becomes the earlier when it is half
  // of all. To mark each as the latest every time it is asked for would cost more than all else that is done here.
  let later = new Map<string, T>()
  let earlier = new Map<string, T>()
  const version = versionOf(db)
  let seen = version()

  function clear(): void {
    later.clear()
    earlier.clear()
  }

  function forget(id: string): void {
    later.delete(id)
    earlier.delete(id)
  }

  function keep(id: string, value: T): T {
    if (later.size >= Math.max(1, Math.floor(most / 2))) {
      earlier = later
      later = new Map()
    }
    later.set(id, value)
    return value
  }

  trail.onChange(touched => {
    const spoiled = touched === null ? 'all' : spoiledBy(touched)
    if (spoiled === 'all') clear()
    else if (spoiled !== null) forget(spoiled)
  })

  return {
    forget,
    get(id) {
      const now = version()
      if (now !== seen) clear()
      seen = now
      return later.get(id) ?? keep(id, earlier.get(id) ?? freeze(read(id)))
    },
  }
}

interface Version {
  (): number
  /** What is known for the rest of this turn of the event loop, or null. */
  settled: number | null
}

const versions = new WeakMap<Database, Version>()

/** Changes with what anybody else writes to the file. */
function versionOf(db: Database): Version {
  const known = versions.get(db)
  if (known) return known
  const asked = db.prepare<[], number>('PRAGMA data_version').pluck()
  const version: Version = Object.assign(() => version.settled ?? asked.get() ?? 0, { settled: null })
  versions.set(db, version)
  return version
}

/** What anybody else writes is looked for now, and not again in this turn of the event loop: for answers to a request. */
export function lookOnce(db: Database): void {
  const version = versionOf(db)
  if (version.settled !== null) return
  version.settled = version()
  atEndOfTurn(() => {
    version.settled = null
  })
}

function freeze<T>(value: T): T {
  if (typeof value !== 'object' || value === null || Object.isFrozen(value)) return value
  for (const part of Object.values(value)) freeze(part)
  return Object.freeze(value)
}

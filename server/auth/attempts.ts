// Wrong guesses are slowed down and never locked out: the person on call can always sign in after a short wait. Each
// enrolled tablet, each person who is signed in, and each address besides has a tally of its own, so that whoever guesses
// elsewhere slows nobody here. Held in memory: a restart forgets them, and takes longer than the wait.

/** Where a guess is made: on an enrolled tablet, by somebody signed in, or else from an address. */
export interface Origin {
  kind: 'tablet' | 'person' | 'address'
  id: string
}

export interface Attempts {
  /**
   * Milliseconds until the next guess is let through. 0 lets one through, which counts as wrong until `succeeded` or
   * `dropped` says otherwise, so that guesses sent all at once don't slip by.
   */
  waitFor(name: string, origin: Origin): number
  /** Gives whether this one begins a slow-down for the person: the engineer is told once. */
  failed(name: string, origin: Origin): boolean
  /** Forgets the person's wrong guesses there; the place's stay, or a guesser could clear them with a PIN of their own. */
  succeeded(name: string, origin: Origin): void
  /** A guess that was let through was not looked at: it counts for nothing. */
  dropped(name: string, origin: Origin): void
  /** How many guesses of the place were wrong lately or are still open: who has fewer is served before. */
  countAt(origin: Origin): number
  /** An engineer lets the person try again at once, wherever it is. */
  release(name: string): void
}

/** The kind of entry in the trail when a person's wrong guesses begin to be slowed. */
export const slowedDown = 'wrong PIN or password'

/** Wrong guesses without a wait; behind one address may be a whole depot, and a tablet is shared by a shift. */
const FREE = { person: 3, place: 15 }
const LONGEST_MS = 30_000
const FORGET_MS = 15 * 60_000
const MOST = 10_000

interface Tally {
  /** Of a person at a place; null for the place as a whole. */
  name: string | null
  wrong: number
  /** Let through and not yet told how they ended. */
  open: number
  at: number
}

export function createAttempts(clock: () => Date): Attempts {
  const now = () => clock().getTime()
  // Apart, since strangers may come from any address under any name: theirs push out no tally of a tablet.
  const known = createTallies(now)
  const strangers = createTallies(now)
  const both = (name: string, origin: Origin) =>
    talliesOf(origin.kind === 'address' ? strangers : known, name, origin)

  return {
    waitFor(name, origin) {
      const { person, place } = both(name, origin)
      const wait = Math.max(waitOf(person, FREE.person, now()), waitOf(place, FREE.place, now()))
      if (wait > 0) return wait
      for (const each of [person, place]) Object.assign(each, { open: each.open + 1, at: now() })
      return 0
    },
    failed(name, origin) {
      const { person, place } = both(name, origin)
      const told = origin.kind === 'address' ? toldOf(strangers, name) : person
      for (const each of new Set([person, place, told])) Object.assign(each, closed(each, 1), { at: now() })
      return told.wrong === FREE.person
    },
    succeeded(name, origin) {
      const { person, place } = both(name, origin)
      Object.assign(person, { open: 0, wrong: 0 })
      Object.assign(place, closed(place, 0))
    },
    dropped(name, origin) {
      for (const each of Object.values(both(name, origin))) Object.assign(each, closed(each, 0))
    },
    countAt(origin) {
      const { place } = both('', origin)
      return place.wrong + place.open
    },
    release(name) {
      for (const tallies of [known, strangers]) tallies.drop(plainName(name))
    },
  }
}

type Tallies = ReturnType<typeof createTallies>

function talliesOf(tallies: Tallies, name: string, { kind, id }: Origin): { person: Tally; place: Tally } {
  const place = `${kind} ${id}`
  const plain = plainName(name)
  return { person: tallies.of(JSON.stringify([place, plain]), plain), place: tallies.of(place, null) }
}

/** Guesses from addresses are told once, from however many they come. */
function toldOf(strangers: Tallies, name: string): Tally {
  return strangers.of(JSON.stringify(['told', plainName(name)]), plainName(name))
}

/** One of those under way has ended. */
function closed({ open, wrong }: Tally, more: 0 | 1): Pick<Tally, 'open' | 'wrong'> {
  return { open: Math.max(0, open - 1), wrong: wrong + more }
}

const plainName = (name: string) => name.trim().toLowerCase()

function createTallies(now: () => number) {
  const tallies = new Map<string, Tally>()
  return {
    /** The tally under the key; a fresh one when it was quiet for long. */
    of(key: string, name: string | null): Tally {
      const recent = tallies.get(key)
      if (recent !== undefined && Math.abs(now() - recent.at) < FORGET_MS) return recent
      if (tallies.size >= MOST) forgetOld(tallies, now())
      const fresh = { name, wrong: 0, open: 0, at: 0 }
      tallies.set(key, fresh)
      return fresh
    },
    drop(name: string): void {
      for (const [key, tally] of tallies) if (tally.name === name) tallies.delete(key)
    },
  }
}

/** 1 s after the last free guess, then twice as long each time, up to the longest. */
function waitOf({ wrong, open, at }: Tally, free: number, now: number): number {
  const over = wrong + open - free
  if (over < 0) return 0
  const wait = Math.min(LONGEST_MS, 1000 * 2 ** over)
  // A clock that was put back must not make the wait longer.
  return Math.min(wait, Math.max(0, at + wait - now))
}

function forgetOld(tallies: Map<string, Tally>, now: number): void {
  const oldestFirst = [...tallies].sort(([, a], [, b]) => a.at - b.at)
  oldestFirst.forEach(([key, { at }], index) => {
    if (index < MOST / 2 || now - at >= FORGET_MS) tallies.delete(key)
  })
}

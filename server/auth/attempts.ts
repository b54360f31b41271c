// Wrong guesses are slowed down, per person and per address, and never locked out: the person on call can always sign in
// after a short wait. Held in memory: a restart forgets them, and takes longer than the wait.

export interface Attempts {
  /**
   * Milliseconds until the next guess is let through. 0 lets one through, which counts as wrong until `succeeded` says
   * otherwise, so that guesses sent all at once don't slip by.
   */
  waitFor(name: string, address: string): number
  /** Gives whether this one begins a slow-down for the person: the engineer is told once. */
  failed(name: string, address: string): boolean
  /** Forgets the person's wrong guesses; the address's stay, or a guesser could clear them with a PIN of their own. */
  succeeded(name: string, address: string): void
  /** An engineer lets the person try again at once. */
  release(name: string): void
}

/** The kind of entry in the trail when a person's wrong guesses begin to be slowed. */
export const slowedDown = 'wrong PIN or password'

/** Wrong guesses without a wait; an address may be a whole depot. */
const FREE = { person: 3, address: 15 }
const LONGEST_MS = 30_000
const FORGET_MS = 15 * 60_000
const MOST = 10_000

interface Tally {
  wrong: number
  /** Let through and not yet told how they ended. */
  open: number
  at: number
}

export function createAttempts(clock: () => Date): Attempts {
  const tallies = new Map<string, Tally>()
  const now = () => clock().getTime()

  function tally(key: string): Tally {
    const recent = tallies.get(key)
    if (recent !== undefined && Math.abs(now() - recent.at) < FORGET_MS) return recent
    if (tallies.size >= MOST) forgetOld(tallies, now())
    const fresh = { wrong: 0, open: 0, at: 0 }
    tallies.set(key, fresh)
    return fresh
  }

  const both = (name: string, address: string) => ({
    person: tally(personKey(name)),
    address: tally(`address ${address}`),
  })

  return {
    waitFor(name, address) {
      const { person, address: place } = both(name, address)
      const wait = Math.max(waitOf(person, FREE.person, now()), waitOf(place, FREE.address, now()))
      if (wait > 0) return wait
      for (const each of [person, place]) Object.assign(each, { open: each.open + 1, at: now() })
      return 0
    },
    failed(name, address) {
      for (const each of Object.values(both(name, address))) {
        Object.assign(each, { open: Math.max(0, each.open - 1), wrong: each.wrong + 1, at: now() })
      }
      return tally(personKey(name)).wrong === FREE.person
    },
    succeeded(name, address) {
      const { person, address: place } = both(name, address)
      Object.assign(person, { open: 0, wrong: 0 })
      place.open = Math.max(0, place.open - 1)
    },
    release: name => void tallies.delete(personKey(name)),
  }
}

const personKey = (name: string) => `person ${name.trim().toLowerCase()}`

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

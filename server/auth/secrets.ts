// PINs and passwords: what handlers ask of them. A PIN is short, so it works only on an enrolled tablet, where the
// slow-down on wrong guesses guards it; the hash guards a stolen copy of the database. The hashing itself is in
// scrypt.ts, which only the host on a server loads.

import type { Turn } from './turns.ts'

export interface Secrets {
  /** A salted hash of a PIN or password, its settings in it; with a new salt each time. */
  hash(secret: string): Promise<string>
  /**
   * Whether the secret is the one hashed. With no hash (no such person) it is false, and takes as long. Rejects with
   * 'too many' when too many wait; `turn`: at once where it is left out.
   */
  verify(secret: string, hashed: string | null, turn?: Turn): Promise<boolean>
  /** Whether the hash was made with other settings than today's; then hash the secret again when it is next typed. */
  isOutdated(hashed: string): boolean
  /** What is wrong with a new password, as a sentence for its owner; null when it will do. */
  passwordProblem(password: string, name: string): string | null
}

/** What is wrong with a new PIN, as a sentence for its owner; null when it will do. */
export function pinProblem(pin: string): string | null {
  if (!/^\d{4,12}$/.test(pin)) return 'A PIN is 4 to 12 digits.'
  if (repeatsItself(pin)) return 'That is too easy to guess: it repeats itself.'
  return isRun(pin) ? 'That is too easy to guess: its digits are in a row.' : null
}

/** Which hash to verify what was typed against: a PIN's on an enrolled tablet only, else the password's, if there is one. */
export function hashFor(
  secret: string,
  person: { pinHash: string; passwordHash: string | null } | null,
  onEnrolledTablet: boolean,
): string | null {
  const asPin = onEnrolledTablet && /^\d{1,12}$/.test(secret)
  return (asPin ? person?.pinHash : person?.passwordHash) ?? null
}

/** 1111, 1212, 123123. */
export function repeatsItself(secret: string): boolean {
  return /^(.+?)\1+$/.test(secret)
}

/** 1234, 9876, 7890. */
function isRun(pin: string): boolean {
  const steps = new Set(
    [...pin].slice(1).map((digit, index) => (Number(digit) - Number(pin[index]) + 10) % 10),
  )
  return steps.size === 1 && (steps.has(1) || steps.has(9))
}

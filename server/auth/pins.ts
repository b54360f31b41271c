// PINs and passwords. A PIN is short, so it works only on a tablet of the depot's own, and what guards it there is the
// slow-down on wrong guesses; the hash guards a stolen copy.

import { randomBytes, type ScryptOptions, scrypt, timingSafeEqual } from 'node:crypto'
import { isCommon, isMostUsed } from './common-passwords.ts'

/** Cost of one hash, in scrypt's own parameters: N as its logarithm to base 2, r and p. */
export interface HashCost {
  log2N: number
  r: number
  p: number
}

// Three rounds within 32 MiB each, so that several sign-ins at once fit a small machine. At least what OWASP's Application
// Security Verification Standard 5.0, appendix C, asks for: with p of 3 or more, N of 2^15 and r of 8 (read in source).
export const standardCost: HashCost = { log2N: 15, r: 8, p: 3 }
const BYTES = 32

let cost = standardCost

/** Sets what new hashes of this process cost. For tests alone, most of which sign in and few of which are about hashes. */
export function setHashCost(wanted: HashCost): void {
  cost = wanted
  unknownPersonHash = null
}

/** What is wrong with a new PIN, as a sentence for its owner; null when it will do. */
export function pinProblem(pin: string): string | null {
  if (!/^\d{4,12}$/.test(pin)) return 'A PIN is 4 to 12 digits.'
  if (isRepeat(pin)) return 'That is too easy to guess: it repeats itself.'
  return isRun(pin) ? 'That is too easy to guess: its digits are in a row.' : null
}

/** What is wrong with a new password, as a sentence for its owner; null when it will do. Length is what counts. */
export function passwordProblem(password: string, name: string): string | null {
  if (password.length > 128) return 'That is too long: at most 128 characters.'
  if (password.length < 10)
    return 'A password is 10 characters or more. A few words in a row are easy to keep.'
  if (/^[\d\s]+$/.test(password)) return 'A password is not only digits: those are for the PIN.'
  if (isRepeat(password)) return 'That is too easy to guess: it repeats itself.'
  if (isCommon(password, name)) return 'That is too easy to guess: it is a common word, or your name.'
  return isMostUsed(password) ? 'That is too easy to guess: it is one of the passwords used most.' : null
}

/** A PIN counts on an enrolled tablet only; what else is typed is held against the password, if there is one. */
export function hashFor(
  secret: string,
  person: { pinHash: string; passwordHash: string | null } | null,
  onEnrolledTablet: boolean,
): string | null {
  const asPin = onEnrolledTablet && /^\d{1,12}$/.test(secret)
  return (asPin ? person?.pinHash : person?.passwordHash) ?? null
}

/** `scrypt$log2 N$r$p$salt$hash`, salt and hash in base64; another salt each time. */
export async function hashPin(pin: string): Promise<string> {
  const salt = randomBytes(16)
  const { log2N, r, p } = cost
  const hash = await derive(pin, salt, BYTES, cost)
  return ['scrypt', log2N, r, p, salt.toString('base64'), hash.toString('base64')].join('$')
}

/** Whether the PIN is the one hashed. With no hash (nobody of that name) it is false and takes as long. */
export async function verifyPin(pin: string, hashed: string | null): Promise<boolean> {
  const [kind, log2N, r, p, salt, hash] = (hashed ?? (await hashOfUnknownPerson())).split('$')
  if (kind !== 'scrypt' || !salt || !hash) return false
  const expected = Buffer.from(hash, 'base64')
  const made = { log2N: Number(log2N), r: Number(r), p: Number(p) }
  const got = await derive(pin, Buffer.from(salt, 'base64'), expected.length, made)
  return timingSafeEqual(got, expected) && hashed !== null
}

/** Whether it was made with other settings than today's; then it is to be made anew when the secret is next typed. */
export function isOutdated(hashed: string): boolean {
  const { log2N, r, p } = cost
  return !hashed.startsWith(`scrypt$${log2N}$${r}$${p}$`)
}

let unknownPersonHash: Promise<string> | null = null

/** A hash that no secret fits, as costly to try as any other. */
function hashOfUnknownPerson(): Promise<string> {
  unknownPersonHash ??= hashPin(randomBytes(16).toString('hex'))
  return unknownPersonHash
}

function derive(pin: string, salt: Buffer, bytes: number, { log2N, r, p }: HashCost): Promise<Buffer> {
  const options: ScryptOptions = { N: 2 ** log2N, r, p, maxmem: 256 * 2 ** log2N * r }
  const work = () =>
    new Promise<Buffer>((resolve, reject) => {
      scrypt(pin.normalize('NFKC'), salt, bytes, options, (error, key) =>
        error ? reject(error) : resolve(key),
      )
    })
  return inLane(work)
}

/** Two at once: each takes 32 MiB, and at the beginning of a shift all sign in together. */
const lanes: Promise<unknown>[] = [Promise.resolve(), Promise.resolve()]
let last = 0

function inLane(work: () => Promise<Buffer>): Promise<Buffer> {
  last = (last + 1) % lanes.length
  const done = (lanes[last] ?? Promise.resolve()).then(work)
  lanes[last] = done.catch(() => {})
  return done
}

/** 1111, 1212, 123123. */
function isRepeat(pin: string): boolean {
  return /^(.+?)\1+$/.test(pin)
}

/** 1234, 9876, 7890. */
function isRun(pin: string): boolean {
  const steps = new Set(
    [...pin].slice(1).map((digit, index) => (Number(digit) - Number(pin[index]) + 10) % 10),
  )
  return steps.size === 1 && (steps.has(1) || steps.has(9))
}

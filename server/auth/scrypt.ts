// Hashing of PINs and passwords with Node's scrypt, and the rules for passwords, which need a file beside them.

import { randomBytes, type ScryptOptions, scrypt, timingSafeEqual } from 'node:crypto'
import { isCommon, isMostUsed } from './common-passwords.ts'
import { repeatsItself, type Secrets } from './secrets.ts'
import { createTurns, ownTurn, type Turn, type TurnLimits } from './turns.ts'

/** scrypt's parameters: N is 2 to the power of `log2N`; one hash takes 128 × N × r bytes of memory. */
export interface HashCost {
  log2N: number
  r: number
  p: number
}

/**
 * Three rounds within 32 MiB each, so that several sign-ins at once fit a small machine. At least what OWASP's Application
 * Security Verification Standard 5.0, appendix C, asks for: with p of 3 or more, N of 2^15 and r of 8 (read in source).
 */
export const standardCost: HashCost = { log2N: 15, r: 8, p: 3 }

/**
 * Two at once, since each takes 32 MiB, and of strangers one. A hash takes some 0.3 s, so a tablet is served in little
 * more than that whatever strangers do, a stranger who is let wait within 2 s where nobody else signs in, and a whole shift
 * that signs in together on its tablets within 10.
 */
const limits: TurnLimits = { atOnce: 2, strangers: 5, others: 60 }

const HASH_BYTES = 32

/** `cost`: less than the standard's only where the secrets are no secrets, as in tests and in the demo. */
export function createSecrets(cost: HashCost = standardCost): Secrets {
  const settings = ['scrypt', cost.log2N, cost.r, cost.p].join('$')
  const turns = createTurns(limits)
  const derive: Derive = (turn, ...parameters) => turns.run(turn, () => deriveNow(...parameters))
  /** To verify against when there is no such person: nothing has this hash, so none need be worked out for it. */
  const noPerson = [settings, ...[16, HASH_BYTES].map(bytes => randomBytes(bytes).toString('base64'))].join(
    '$',
  )

  /** `scrypt$log2 N$r$p$salt$hash`, salt and hash in base64. */
  async function hash(secret: string): Promise<string> {
    const salt = randomBytes(16)
    const derived = await derive(ownTurn, secret, salt, HASH_BYTES, cost)
    return [settings, salt.toString('base64'), derived.toString('base64')].join('$')
  }

  return {
    hash,
    async verify(secret, hashed, turn = ownTurn) {
      const [kind, log2N, r, p, salt, expectedText] = (hashed ?? noPerson).split('$')
      if (kind !== 'scrypt' || !salt || !expectedText) return false
      const expected = Buffer.from(expectedText, 'base64')
      const itsCost = { log2N: Number(log2N), r: Number(r), p: Number(p) }
      const derived = await derive(turn, secret, Buffer.from(salt, 'base64'), expected.length, itsCost)
      return timingSafeEqual(derived, expected) && hashed !== null
    },
    isOutdated: hashed => !hashed.startsWith(`${settings}$`),
    passwordProblem,
  }
}

/** Length is what counts. */
function passwordProblem(password: string, name: string): string | null {
  if (password.length > 128) return 'That is too long: at most 128 characters.'
  if (password.length < 10)
    return 'A password is 10 characters or more. A few words in a row are easy to keep.'
  if (/^[\d\s]+$/.test(password)) return 'A password is not only digits: those are for the PIN.'
  if (repeatsItself(password)) return 'That is too easy to guess: it repeats itself.'
  if (isCommon(password, name)) return 'That is too easy to guess: it is a common word, or your name.'
  return isMostUsed(password) ? 'That is too easy to guess: it is one of the passwords used most.' : null
}

type DeriveNow = (secret: string, salt: Buffer, bytes: number, cost: HashCost) => Promise<Buffer>
type Derive = (turn: Turn, ...parameters: Parameters<DeriveNow>) => Promise<Buffer>

const deriveNow: DeriveNow = (secret, salt, bytes, { log2N, r, p }) => {
  const options: ScryptOptions = { N: 2 ** log2N, r, p, maxmem: 256 * 2 ** log2N * r }
  return new Promise((resolve, reject) => {
    scrypt(secret.normalize('NFKC'), salt, bytes, options, (error, key) =>
      error ? reject(error) : resolve(key),
    )
  })
}

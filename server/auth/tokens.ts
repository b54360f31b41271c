// Random tokens: the holder has the token, the database only its hash.

import { randomInt } from 'node:crypto'
import { base64Url, randomBytes, sha256 } from '#platform'

/** 256 random bits, fit for a cookie. */
export function newToken(): string {
  return base64Url(randomBytes(32))
}

/** SHA-256, hexadecimal. A token is random, so it needs no salt. */
export function hashToken(token: string): string {
  return sha256(token)
}

const LETTERS = 'abcdefghjkmnpqrstuvwxyz23456789' // without those that are read as one another: i, l, o, 0, 1

/** A code to be typed from a screen: seven groups of four letters and digits, about 138 random bits. */
export function newSetupCode(): string {
  const letter = () => LETTERS[randomInt(LETTERS.length)] ?? ''
  const group = () => Array.from({ length: 4 }, letter).join('')
  return Array.from({ length: 7 }, group).join('-')
}

// Random tokens: the holder has the token, the database only its hash.

import { base64Url, randomBytes, sha256 } from '#platform'

/** 256 random bits, fit for a cookie. */
export function newToken(): string {
  return base64Url(randomBytes(32))
}

/** SHA-256, hexadecimal. A token is random, so it needs no salt. */
export function hashToken(token: string): string {
  return sha256(token)
}

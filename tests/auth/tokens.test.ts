import { describe, expect, it } from 'vitest'
import { newSetupCode } from '../../server/auth/setup-code.ts'
import { hashToken, newToken } from '../../server/auth/tokens.ts'

describe('a token', () => {
  it('holds 32 random bytes, fit for a cookie', () => {
    const tokens = new Set(Array.from({ length: 200 }, newToken))
    expect(tokens.size).toBe(200)
    for (const token of tokens) {
      expect(token).toMatch(/^[A-Za-z0-9_-]+$/)
      expect(Buffer.from(token, 'base64url')).toHaveLength(32)
    }
  })

  // FIPS 180-4, the worked example for SHA-256 of "abc" (value from memory).
  it('is hashed with SHA-256', () => {
    expect(hashToken('abc')).toBe('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad')
  })
})

// OWASP Application Security Verification Standard 5.0, 11.5.1: 128 random bits or more (read in source).
it('a setup code can be read aloud and typed, and is beyond guessing', () => {
  const codes = new Set(Array.from({ length: 200 }, newSetupCode))
  expect(codes.size).toBe(200)
  for (const code of codes) expect(code).toMatch(/^([a-hjkmnp-z2-9]{4}-){6}[a-hjkmnp-z2-9]{4}$/)
  const letters = new Set([...codes].join('').replaceAll('-', ''))
  expect(28 * Math.log2(letters.size)).toBeGreaterThan(128)
})

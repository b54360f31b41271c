import { afterAll, beforeAll } from 'vitest'
import { type HashCost, setHashCost, standardCost } from '../../server/auth/pins.ts'

/** Hashes of the same form that take no time: most tests sign in, and few are about hashes. */
export const cheapCost: HashCost = { log2N: 4, r: 8, p: 1 }

/** For a file or a group of tests that is about hashes: there they cost what they cost in the program. */
export function hashAsTheProgramDoes(): void {
  beforeAll(() => setHashCost(standardCost))
  afterAll(() => setHashCost(cheapCost))
}

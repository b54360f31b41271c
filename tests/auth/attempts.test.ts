import { beforeEach, describe, expect, it } from 'vitest'
import { type Attempts, createAttempts } from '../../server/auth/attempts.ts'
import { processorTime } from '../support/processor-time.ts'

let now: number
let attempts: Attempts
beforeEach(() => {
  now = 1_700_000_000_000
  attempts = createAttempts(() => new Date(now))
})

/** Waits as long as told, then guesses wrong; gives the wait. */
function guess(name: string, address = 'a'): number {
  const wait = attempts.waitFor(name, address)
  if (wait > 0) {
    now += wait
    expect(attempts.waitFor(name, address)).toBe(0)
  }
  attempts.failed(name, address)
  return wait
}

describe('wrong guesses', () => {
  it('cost nothing at first, then longer and longer, and never more than half a minute', () => {
    const waits = Array.from({ length: 12 }, () => guess('Ada'))
    expect(waits).toEqual([0, 0, 0, 1000, 2000, 4000, 8000, 16_000, 30_000, 30_000, 30_000, 30_000])
  })

  it('never lock anybody out: after the wait the right PIN is let through', () => {
    for (let i = 0; i < 500; i++) guess('Ada')
    now += 30_000
    expect(attempts.waitFor('Ada', 'a')).toBe(0)
    attempts.succeeded('Ada', 'a')
    expect(Array.from({ length: 3 }, () => attempts.waitFor('Ada', 'b'))).toEqual([0, 0, 0])
  })

  it('count for the person wherever they come from, and whatever the capitals', () => {
    for (let i = 0; i < 4; i++) guess(i % 2 ? 'Ada' : ' ADA ', `address ${i}`)
    expect(attempts.waitFor('ada', 'yet another')).toBeGreaterThan(0)
    expect(attempts.waitFor('Ben', 'yet another')).toBe(0)
  })

  it('count for the address whomever they are for', () => {
    for (let i = 0; i < 15; i++) guess(`person ${i}`)
    expect(attempts.waitFor('somebody else', 'a')).toBeGreaterThan(0)
    expect(attempts.waitFor('somebody else', 'b')).toBe(0)
  })

  it('do not slip by when they are sent all at once', () => {
    const waits = Array.from({ length: 20 }, () => attempts.waitFor('Ada', 'a'))
    expect(waits.filter(wait => wait === 0)).toHaveLength(3)
  })

  it('are not cleared for the address by a right PIN of one’s own', () => {
    for (let i = 0; i < 15; i++) guess(`person ${i}`)
    now += 30_000
    expect(attempts.waitFor('Mallory', 'a')).toBe(0)
    attempts.succeeded('Mallory', 'a')
    expect(attempts.waitFor('person 99', 'a')).toBeGreaterThan(0)
  })

  it('are forgotten after a quarter of an hour', () => {
    for (let i = 0; i < 9; i++) guess('Ada')
    now += 15 * 60_000
    expect(Array.from({ length: 3 }, () => guess('Ada'))).toEqual([0, 0, 0])
  })

  it('are told once when they begin to be slowed', () => {
    const told = Array.from({ length: 8 }, () => attempts.failed('Ada', 'a'))
    expect(told.map((yes, n) => (yes ? n + 1 : 0)).filter(Boolean)).toEqual([3])
  })

  it('can be released by an engineer', () => {
    for (let i = 0; i < 6; i++) guess('Ada')
    expect(attempts.waitFor('Ada', 'b')).toBeGreaterThan(0)
    attempts.release(' ada')
    expect(attempts.waitFor('Ada', 'b')).toBe(0)
  })

  it('keep nobody waiting for longer when the clock is put back', () => {
    for (let i = 0; i < 8; i++) guess('Ada')
    now -= 60_000
    expect(attempts.waitFor('Ada', 'b')).toBeLessThanOrEqual(30_000)
    now -= 86_400_000
    expect(attempts.waitFor('Ada', 'b')).toBe(0)
  })

  it('keep to a limited memory', async () => {
    for (let i = 0; i < 30_000; i++) attempts.failed(`name ${i}`, `address ${i}`)
    expect(await processorTime(() => attempts.waitFor('Ada', 'a'))).toBeLessThan(500)
  })
})

import { beforeEach, describe, expect, it } from 'vitest'
import { type Attempts, createAttempts, type Origin } from '../../server/auth/attempts.ts'
import { processorTime } from '../support/processor-time.ts'

let now: number
let attempts: Attempts
beforeEach(() => {
  now = 1_700_000_000_000
  attempts = createAttempts(() => new Date(now))
})

const tablet = (id: string): Origin => ({ kind: 'tablet', id })
const address = (id: string): Origin => ({ kind: 'address', id })
const van = tablet('van')

/** Waits as long as told, then guesses wrong; gives the wait. */
function guess(name: string, origin = van): number {
  const wait = attempts.waitFor(name, origin)
  if (wait > 0) {
    now += wait
    expect(attempts.waitFor(name, origin)).toBe(0)
  }
  attempts.failed(name, origin)
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
    expect(attempts.waitFor('Ada', van)).toBe(0)
    attempts.succeeded('Ada', van)
    now += 30_000
    expect(attempts.waitFor('Ada', van)).toBe(0)
  })

  it.each([
    ['an address', address('10.0.0.9')],
    ['another tablet', tablet('lost')],
    ['somebody signed in', { kind: 'person', id: 'mallory' }],
  ] as const)('from %s keep nobody waiting on a tablet, nor at another address', (_, elsewhere) => {
    for (let n = 0; n < 500; n++) {
      attempts.waitFor('Ada', elsewhere)
      attempts.failed('Ada', elsewhere)
      now += 250
    }
    expect(attempts.waitFor('Ada', elsewhere)).toBeGreaterThan(0)
    for (const here of [van, address('10.0.0.1'), { kind: 'person', id: 'ada' } as const])
      expect(attempts.waitFor('Ada', here)).toBe(0)
  })

  it('count for the person on one tablet, whatever the capitals', () => {
    for (let i = 0; i < 4; i++) guess(i % 2 ? 'Ada' : ' ADA ')
    expect(attempts.waitFor('ada', van)).toBeGreaterThan(0)
    expect(attempts.waitFor('Ben', van)).toBe(0)
  })

  it.each([
    ['a tablet', van],
    ['an address', address('a')],
  ] as const)('count for %s whomever they are for', (_, origin) => {
    for (let i = 0; i < 15; i++) guess(`person ${i}`, origin)
    expect(attempts.waitFor('somebody else', origin)).toBeGreaterThan(0)
    expect(attempts.waitFor('somebody else', { ...origin, id: 'b' })).toBe(0)
  })

  // A PIN of 4 figures has 10 000 values: at two guesses a minute half of them take 41 hours.
  it('on a stolen tablet are at most two a minute, whatever the names', () => {
    const through = { once: 0, later: 0 }
    for (let second = 0; second < 7200; second++) {
      const name = `person ${second % 7}`
      if (attempts.waitFor(name, van) === 0) {
        attempts.failed(name, van)
        through[second < 3600 ? 'once' : 'later'] += 1
      }
      now += 1000
    }
    expect(through.later).toBeLessThanOrEqual(120)
    expect(through.once).toBeLessThanOrEqual(15 + 5 + 120)
  })

  it('on a stolen tablet are not forgotten because strangers guess under thousands of names', () => {
    for (let i = 0; i < 20; i++) guess('Ada')
    for (let i = 0; i < 30_000; i++) attempts.failed(`name ${i}`, address(`${i}`))
    expect(attempts.waitFor('Ada', van)).toBeGreaterThan(0)
  })

  it('do not slip by when they are sent all at once', () => {
    const waits = Array.from({ length: 20 }, () => attempts.waitFor('Ada', van))
    expect(waits.filter(wait => wait === 0)).toHaveLength(3)
  })

  it('that were not looked at count for nothing', () => {
    for (let n = 0; n < 40; n++) {
      expect(attempts.waitFor('Ada', van)).toBe(0)
      attempts.dropped('Ada', van)
    }
    expect(attempts.countAt(van)).toBe(0)
  })

  it('are not cleared for the place by a right PIN of one’s own', () => {
    for (let i = 0; i < 15; i++) guess(`person ${i}`)
    now += 30_000
    expect(attempts.waitFor('Mallory', van)).toBe(0)
    attempts.succeeded('Mallory', van)
    expect(attempts.waitFor('person 99', van)).toBeGreaterThan(0)
  })

  it('are forgotten after a quarter of an hour', () => {
    for (let i = 0; i < 9; i++) guess('Ada')
    now += 15 * 60_000
    expect(Array.from({ length: 3 }, () => guess('Ada'))).toEqual([0, 0, 0])
  })

  it('are told once when they begin to be slowed', () => {
    const told = Array.from({ length: 8 }, () => attempts.failed('Ada', van))
    expect(told.map((yes, n) => (yes ? n + 1 : 0)).filter(Boolean)).toEqual([3])
  })

  it('are told once from however many addresses they come, one guess from each', () => {
    const told = Array.from({ length: 200 }, (_, n) => attempts.failed('Ada', address(`${n}`)))
    expect(told.map((yes, n) => (yes ? n + 1 : 0)).filter(Boolean)).toEqual([3])
  })

  it('can be released by an engineer, wherever they were made', () => {
    const places = [van, address('a')]
    for (const place of places) for (let i = 0; i < 6; i++) guess('Ada', place)
    for (const place of places) expect(attempts.waitFor('Ada', place)).toBeGreaterThan(0)
    attempts.release(' ada')
    for (const place of places) expect(attempts.waitFor('Ada', place)).toBe(0)
  })

  it('keep nobody waiting for longer when the clock is put back', () => {
    for (let i = 0; i < 8; i++) guess('Ada')
    now -= 60_000
    expect(attempts.waitFor('Ada', van)).toBeLessThanOrEqual(30_000)
    now -= 86_400_000
    expect(attempts.waitFor('Ada', van)).toBe(0)
  })

  it('keep to a limited memory', async () => {
    for (let i = 0; i < 30_000; i++) attempts.failed(`name ${i}`, address(`${i}`))
    expect(await processorTime(() => attempts.waitFor('Ada', address('a')))).toBeLessThan(500)
  })
})

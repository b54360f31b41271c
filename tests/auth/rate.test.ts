import { expect, it } from 'vitest'
import { createRate } from '../../server/auth/rate.ts'

const at = { now: 1_700_000_000_000 }
const clock = () => new Date(at.now)

it('takes a minute’s requests at once, then says how long to wait, and fills again', () => {
  const rate = createRate(clock, 60)
  for (let n = 0; n < 60; n++) expect(rate.waitFor('a')).toBe(0)
  expect(rate.waitFor('a')).toBe(1)
  expect(rate.waitFor('b')).toBe(0)
  at.now += 1000
  expect(rate.waitFor('a')).toBe(0)
  expect(rate.waitFor('a')).toBe(1)
})

it('keeps nobody out when the clock is put back', () => {
  const rate = createRate(clock, 60)
  for (let n = 0; n < 60; n++) rate.waitFor('a')
  at.now -= 86_400_000
  expect(rate.waitFor('a')).toBe(1)
  at.now += 1000
  expect(rate.waitFor('a')).toBe(0)
})

it('is off at 0, and keeps to a limited memory', () => {
  const off = createRate(clock, 0)
  for (let n = 0; n < 100; n++) expect(off.waitFor('a')).toBe(0)
  const rate = createRate(clock, 1)
  for (let n = 0; n < 20_001; n++) rate.waitFor(`who ${n}`)
  expect(rate.waitFor('who 0')).toBe(0)
  expect(rate.waitFor('who 20000')).toBeGreaterThan(0)
})

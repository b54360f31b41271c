import fc from 'fast-check'
import { expect, it } from 'vitest'
import {
  createTimes,
  dayTrouble,
  happened,
  happenedBefore,
  planned,
  putInPlace,
  soon,
  takenAway,
  timeTrouble,
  utcOf,
} from '../server/times.ts'

const now = new Date('2026-11-02T01:00:00.000Z')
const senses = { happened, happenedBefore, planned, putInPlace, soon, takenAway }
const early = { '0026-11-27': true, '1000-01-01': true, '1949-12-31': true }
const late = { '2037-01-01': true, '9999-12-31': true }
const nonsense = [
  '',
  'yesterday',
  '2026-02-30',
  '2026-13-01',
  '26-11-27',
  '2026-1-1',
  '+275760-09-13',
  '١٩٩٥-٠١-٠١',
]

it.each(Object.entries(senses))('%s: each day out of sense is said to be, by a sentence', (_, sense) => {
  for (const day of Object.keys(early)) expect(dayTrouble(day, sense, now)).toBe(sense.early)
  for (const day of Object.keys(late)) expect(dayTrouble(day, sense, now)).toBe(sense.late)
  for (const day of nonsense) expect(dayTrouble(day, sense, now), day).toMatch(/^Give the day as .*\.$/)
  expect(dayTrouble('2026-11-01', sense, now)).toBeNull()
})

it('what has happened may be a day ahead of the clock, and what is planned ten years', () => {
  expect(dayTrouble('2026-11-03', happened, now)).toBeNull()
  expect(dayTrouble('2026-11-04', happened, now)).toBe('That is still to come.')
  expect(dayTrouble('1990-01-01', happened, now)).toBeNull()
  expect(dayTrouble('1989-12-31', happened, now)).toBe('Give a day from 1990 on.')
  expect(dayTrouble('2036-10-30', planned, now)).toBeNull()
  expect(timeTrouble('2026-11-02T01:00:59.000Z', happenedBefore, now)).toBeNull()
  expect(timeTrouble('2026-11-02T01:01:01.000Z', happenedBefore, now)).toMatch(/not later than now/)
})

it('every text is either within sense and a day of the calendar, or has a sentence', () => {
  const texts = fc.oneof(
    fc.string(),
    fc.date({ noInvalidDate: true }).map(date => date.toISOString().slice(0, 10)),
    fc.tuple(fc.nat(9999), fc.nat(19), fc.nat(39)).map(parts => {
      const [year, month, day] = parts.map(String)
      return `${year?.padStart(4, '0')}-${month?.padStart(2, '0')}-${day?.padStart(2, '0')}`
    }),
  )
  fc.assert(
    fc.property(texts, fc.constantFrom(...Object.values(senses)), (text, sense) => {
      const trouble = dayTrouble(text, sense, now)
      if (trouble !== null) {
        expect(trouble).toMatch(/^[A-Z].*\.$/)
        return
      }
      const ms = Date.parse(text)
      expect(new Date(ms).toISOString().slice(0, 10)).toBe(text)
      expect(ms).toBeGreaterThanOrEqual(Date.UTC(1950, 0, 1))
      expect(ms).toBeLessThanOrEqual(Date.UTC(2036, 11, 31))
    }),
  )
})

it('a typed time is one of the depot’s clock, or none', () => {
  const times = createTimes('Europe/London')
  expect(times.fromLocal('2026-07-01T12:00')).toBe('2026-07-01T11:00:00.000Z')
  for (const text of ['2026-02-30T12:00', '2026-07-01T24:01', '2026-07-01', '0026-11-27T10:00', 'noon'])
    expect(times.fromLocal(text), text).toBeNull()
  expect(utcOf('0026-11-27T10:00')).toBe('0026-11-27T10:00:00.000Z')
  expect(utcOf('2026-02-30T12:00')).toBeNull()
})

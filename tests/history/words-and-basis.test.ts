import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { basisWords } from '../../server/history/basis.ts'
import { chanceWords, countWords, durationWords, numberWords, percentWords } from '../../server/words.ts'

describe('plain words', () => {
  it.each([
    [0.0004, 'less than 1 chance in 2,000 by luck'],
    [0.05, 'less than 1 chance in 10 by luck'],
    [0.0499, 'less than 1 chance in 20 by luck'],
    [0.25, 'about 1 chance in 4 by luck'],
    [0.5, 'likely by luck alone'],
    [0, 'less than 1 chance in 1,000,000 by luck'],
  ])('a chance of %d is %s', (chance, words) => expect(chanceWords(chance)).toBe(words))

  it.each([
    [1, '1 day'],
    [13, '13 days'],
    [42, '6 weeks'],
    [426, '14 months'],
    [1278, '3.5 years'],
  ])('%d days are %s', (days, words) => expect(durationWords(days)).toBe(words))

  it('counts and rounds', () => {
    expect(countWords(1, 'fault')).toBe('1 fault')
    expect(countWords(1200, 'fault')).toBe('1,200 faults')
    expect(countWords(2, 'entry', 'entries')).toBe('2 entries')
    expect(numberWords(0.6123)).toBe('0.61')
    expect(numberWords(1249.6)).toBe('1,250')
    expect(percentWords(0.123)).toBe('12 %')
  })

  it.each([
    [199 / 200, '99.5 %'],
    [0.9991, 'more than 99.9 %'],
    [1 - 1e-9, 'more than 99.9 %'],
    [1, '100 %'],
    [0, '0 %'],
    [0.989, '99 %'],
    [0.9, '90 %'],
    [0.0004, '0.04 %'],
  ])('a share of %d is %s', (share, words) => expect(percentWords(share)).toBe(words))

  it('round only the way they are told to', () => {
    expect([percentWords(0.3601, 'up'), percentWords(0.3699, 'down')]).toEqual(['37 %', '36 %'])
    expect([percentWords(0.07, 'up'), percentWords(0.29, 'down')]).toEqual(['7 %', '29 %'])
    expect([percentWords(0.9905, 'up'), percentWords(0.9905, 'down')]).toEqual(['99.1 %', '99 %'])
    expect([numberWords(0.1 + 0.2, 'up'), numberWords(0.611, 'up')]).toEqual(['0.3', '0.62'])
    expect([numberWords(131.2, 'up'), numberWords(131.9, 'down')]).toEqual(['132', '131'])
  })

  it('never say all of a share that is less', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 1, noNaN: true, maxExcluded: true }), share => {
        for (const rounding of ['nearest', 'up', 'down'] as const)
          expect(percentWords(share, rounding)).not.toBe('100 %')
      }),
      { seed: 199 },
    )
  })
})

describe('the basis of a figure', () => {
  it('is printed with its last day, not the day after', () => {
    const basis = {
      fromMs: Date.UTC(2025, 0, 1),
      toMs: Date.UTC(2026, 0, 1),
      asAtMs: Date.UTC(2026, 0, 3),
      n: 41,
      excluded: [],
    }
    expect(basisWords(basis, 'UTC')).toBe(
      '1 January 2025 to 31 December 2025, data as at 3 January 2026, n = 41, left out: none',
    )
  })
})

// Did the failure stay away after something was done about it?

import { betaBelow } from '../../statistics/beta.ts'
import { findRoot } from '../../statistics/find-root.ts'
import { chanceWords, countWords, durationWords, numberWords } from '../../words.ts'
import { cannotSay, type Explained, type Term, term } from '../explained.ts'
import type { KindFit } from './kind-fit.ts'

export type Stayed = 'stayed away' | 'too early to say' | 'no better'

export interface Spell {
  faults: number
  serviceDays: number
}

/**
 * Compares the time since the action with the time before. The chance of so few
 * faults if nothing had changed takes the rate before as uncertain and drawn
 * towards its kind, since a position is picked when its luck was bad too.
 */
export function stayedAway(
  before: Spell,
  after: Spell,
  fit: KindFit | null,
  atMost = 0.05,
): Explained<Stayed | null> {
  const [shape, rate] = fit === null ? [0.5, 0] : [fit.shape, fit.rate]
  const [r, t] = [shape + before.faults, rate + before.serviceDays]
  if (!(t > 0)) return cannotSay('No time in service before to compare with.')
  const fewer = (days: number, faults: number) => betaBelow(t / (t + days), r, faults + 1)
  const chance = after.serviceDays > 0 ? fewer(after.serviceDays, after.faults) : 1
  const expected = (r / t) * after.serviceDays
  const value =
    chance <= atMost
      ? 'stayed away'
      : after.faults > 0 && after.faults >= expected
        ? 'no better'
        : 'too early to say'
  const needed = daysNeeded(days => fewer(days, after.faults), atMost, after.serviceDays)
  const verdicts: Record<Stayed, string> = {
    'stayed away': `${chanceWords(chance)}: it stayed away`,
    'no better': 'no better than before',
    'too early to say': `too early to say; another ${durationWords(needed - after.serviceDays)} without a fault would tell`,
  }
  const counted = `${countWords(after.faults, 'fault')} in ${durationWords(after.serviceDays)} since`
  return {
    value,
    words: `${counted}; ${numberWords(expected)} would be usual; ${verdicts[value]}.`,
    terms: termsOf(before, after, { expected, chance, needed }),
  }
}

function termsOf(
  before: Spell,
  after: Spell,
  found: { expected: number; chance: number; needed: number },
): Term[] {
  const spell = ({ serviceDays }: Spell) => `faults in ${durationWords(serviceDays)} of service`
  return [
    term('before', before.faults, `${spell(before)} before the action`),
    term('since', after.faults, `${spell(after)} since`),
    term(
      'expected',
      found.expected,
      'faults since, had nothing changed: the rate before, drawn towards its kind',
    ),
    term('chance', found.chance, 'chance of so few if nothing had changed (gamma–Poisson)'),
    term(
      'days needed',
      found.needed,
      'days of service since the action, with no further fault, for a sure answer',
    ),
  ]
}

function daysNeeded(chance: (days: number) => number, atMost: number, from: number): number {
  let high = Math.max(1, from)
  while (chance(high) > atMost) high *= 2
  return chance(from) <= atMost ? from : findRoot(days => chance(days) - atMost, from, high)
}

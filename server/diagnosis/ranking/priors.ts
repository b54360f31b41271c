// How likely each cause is before anything is found: the author's shares, moved step by step by the history.

import { causeKey } from '../../knowledge/graph.ts'
import type { Cause } from '../../knowledge/types.ts'
import { percentWords } from '../../words.ts'
import { type CauseCounts, type Counts, outsideKey } from './cause-counts.ts'
import { logEvidence, ownMixLogFactor, restOf } from './condition-test.ts'
import { chances, conditionMatters, type Strength, strengths } from './strengths.ts'

/** One named factor of a cause's probability, and why, in words. */
export interface Term {
  name: string
  factor: number
  words: string
}

export interface Prior {
  /** `equipment/cause`, or `outside`. */
  key: string
  probability: number
  /** Before any finding. */
  start: number
  /** Their product is the probability. */
  terms: Term[]
}

/**
 * Probabilities of the causes and, last, of "something not in this tree"; they add up to 1.
 * Each level of the history is a Dirichlet-multinomial with the level before as its mean:
 * (count + strength × before) / (all + strength), or a mixture of two, where a place may have
 * a habit of its own. Causes never seen keep their part of what is left, never nothing. Counts
 * of other causes are left out. `crossings` says how many trees away each cause is named.
 */
export function priors(
  causes: readonly Cause[],
  counts: CauseCounts,
  crossings: readonly number[] = [],
): Prior[] {
  const keys = [...causes.map(causeKey), outsideKey]
  const start = authorShares(causes)
  let list: Prior[] = keys.map((key, index) => authorPrior(key, start[index] ?? 0, causes[index]))
  list = bySymptom(list, crossings)
  const mix = list.map(prior => prior.probability)
  for (const level of levelsOf(counts, keys, mix)) list = moved(list, level)
  return list
}

interface Level {
  name: string
  strength: Strength
  counts: Counts
  /** "of {n} earlier faults {where}" */
  where: string
}

function levelsOf(counts: CauseCounts, keys: string[], start: number[]): Level[] {
  const condition = conditionThatMatters(counts, keys, start)
  const wide = condition ? restOf(counts.elsewhere, condition.counts) : counts.elsewhere
  return [
    { name: 'this kind of equipment', strength: strengths.share, counts: wide, where: 'at other sites' },
    ...(condition ? [conditionLevel(condition)] : []),
    { name: 'this site', strength: strengths.site, counts: counts.site, where: 'elsewhere at this site' },
    { name: 'this position', strength: strengths.position, counts: counts.position, where: 'here' },
    ...counts.units.map(({ unit, counts: ofUnit }) => ({
      name: unit,
      strength: strengths.unit,
      counts: ofUnit,
      where: `with ${unit} elsewhere`,
    })),
  ]
}

function conditionLevel(condition: CauseCounts['conditions'][number]): Level {
  const { name, value, counts } = condition
  return { name, strength: strengths.condition, counts, where: `when ${name} was ${value}` }
}

/**
 * The condition that most clearly has its own mix, if any
 * passes; the bar rises with the number that were tried.
 */
function conditionThatMatters(counts: CauseCounts, keys: string[], start: number[]) {
  const mix = new Map(keys.map((key, index) => [key, start[index] ?? 0]))
  const bar = Math.log(conditionMatters * Math.max(1, counts.conditions.length))
  const tried = counts.conditions.map(condition => ({
    condition,
    factor: ownMixLogFactor(
      condition.counts,
      restOf(counts.elsewhere, condition.counts),
      mix,
      strengths.condition.usual,
    ),
  }))
  const best = tried.sort((a, b) => b.factor - a.factor)[0]
  return best && best.factor >= bar ? best.condition : null
}

/**
 * Shares scaled to leave room for the outside; each at least
 * `leastShare`, all alike when the author gave none.
 */
function authorShares(causes: readonly Cause[]): number[] {
  const given = causes.map(cause => (Number.isFinite(cause.share) ? Math.max(0, cause.share) : 0))
  const sum = given.reduce((all, share) => all + share, 0)
  const least = sum > 0 ? sum * chances.leastShare : 1
  const shares = given.map(share => Math.max(least, share))
  const whole = shares.reduce((all, share) => all + share, 0)
  const room = causes.length > 0 ? 1 - chances.outside : 0
  return [...shares.map(share => (share / whole) * room), 1 - room]
}

function authorPrior(key: string, probability: number, cause: Cause | undefined): Prior {
  const words = cause
    ? `The author's estimate: ${percentWords(probability)}.`
    : `Kept aside for what no tree foresees: ${percentWords(probability)}.`
  return { key, probability, start: probability, terms: [{ name: 'author', factor: probability, words }] }
}

/** Causes named in other trees give way to those of this one; the outside stays. */
function bySymptom(list: Prior[], crossings: readonly number[]): Prior[] {
  if (!crossings.some(steps => steps > 0)) return list
  const factors = list.map((_, index) => chances.otherTree ** (crossings[index] ?? 0))
  const inside = list.slice(0, -1)
  const sumInside = inside.reduce((sum, prior) => sum + prior.probability, 0)
  const after = inside.reduce((sum, prior, index) => sum + prior.probability * (factors[index] ?? 1), 0)
  return list.map((prior, index) => {
    if (prior.key === outsideKey) return prior
    const factor = (factors[index] ?? 1) * (sumInside / after)
    const words = crossings[index] ? 'Mostly reported under another symptom.' : 'Goes with this symptom.'
    const probability = prior.probability * factor
    return {
      ...prior,
      probability,
      start: probability,
      terms: [...prior.terms, { name: 'symptom', factor, words }],
    }
  })
}

function moved(list: Prior[], level: Level): Prior[] {
  const all = list.reduce((sum, prior) => sum + (level.counts.get(prior.key) ?? 0), 0)
  if (all === 0) return list
  const mix = new Map(list.map(prior => [prior.key, prior.probability]))
  const habit = ownHabit(level, mix)
  return list.map(prior => {
    const seen = level.counts.get(prior.key) ?? 0
    const held = (strength: number) => (seen + strength * prior.probability) / (all + strength)
    const probability = habit * held(level.strength.own) + (1 - habit) * held(level.strength.usual)
    const term = {
      name: level.name,
      factor: probability / prior.probability,
      words: seenWords(seen, all, level),
    }
    return { key: prior.key, probability, start: probability, terms: [...prior.terms, term] }
  })
}

/** Chance that the place has a habit of its own, by how well its faults go with each strength. */
function ownHabit({ counts, strength }: Level, mix: ReadonlyMap<string, number>): number {
  const { usual, own, part } = strength
  if (part === 0) return 0
  const against = Math.exp(logEvidence(counts, mix, usual) - logEvidence(counts, mix, own))
  return part / (part + (1 - part) * against)
}

function seenWords(seen: number, all: number, level: Level): string {
  const faults = all === 1 ? 'the 1 earlier fault' : `${all} earlier faults`
  return seen === 0 ? `None of ${faults} ${level.where}.` : `${seen} of ${faults} ${level.where}.`
}

// How the diagnosis does where its tree, its shares and its record are wrong. The ranking was mended by what was seen
// on seeds below 100; the figures are of others.

import type { Knowledge } from '../../server/knowledge/types.ts'
import {
  type TrialFigure,
  type TrialFigures,
  trialFigures,
} from '../../server/practice/trials/trial-figures.ts'
import { runTrials, type Tried } from '../../server/practice/trials/trial-run.ts'
import { TRIAL_WORLDS } from '../../server/practice/trials/trial-worlds.ts'
import { createRandom } from '../../server/statistics/random.ts'
import type { Bench, Goal } from './run.ts'
import { once, shippedKnowledge } from './shared.ts'

export const REPORTED_FROM = 1001
export const REPORTED = 200

/** `count` seeds from `from`, in every world; the trees that answer a symptom in turn. */
export function triedIn(knowledge: Knowledge, from: number, count: number): Tried[] {
  const trees = [...knowledge.trees.values()].filter(({ kind }) => kind === 'fault').map(({ slug }) => slug)
  const seeds = Array.from({ length: count }, (_, index) => from + index)
  return runTrials({ knowledge, worlds: TRIAL_WORLDS, seeds, trees, chanceOf: createRandom })
}

export function figuresOf(tried: Tried[]): TrialFigures {
  return trialFigures(tried, createRandom('limits'))
}

export function byWorld(tried: Tried[]): Map<string, TrialFigures> {
  return new Map(
    TRIAL_WORLDS.map(({ name }) => [name, figuresOf(tried.filter(({ world }) => world === name))]),
  )
}

const reported = once(() => {
  const tried = triedIn(shippedKnowledge(), REPORTED_FROM, REPORTED)
  const worlds = byWorld(tried)
  const all = figuresOf(tried)
  for (const line of lines(worlds, all)) console.error(`  ${line}`)
  return { worlds, all }
})

/** One line a world: each figure with its 95 % limits. */
export function lines(worlds: Map<string, TrialFigures>, all: TrialFigures): string[] {
  return [...worlds, ['All', all] as const].map(
    ([name, figures]) =>
      `${name}: ${Object.entries(figures)
        .map(([figure, one]) => `${figure} ${withLimits(one)}`)
        .join(', ')}`,
  )
}

function withLimits({ value, low, high }: TrialFigure): string {
  return Number.isFinite(value) ? `${value.toFixed(3)} (${low.toFixed(3)} to ${high.toFixed(3)})` : '–'
}

const most = (value: number): Goal => ({ at: 'most', value })
const least = (value: number): Goal => ({ at: 'least', value })

function ofAll(name: string, goal: Goal, figure: keyof TrialFigures): Bench {
  return { name, unit: '', goal, run: () => reported().all[figure].value }
}

export const benches: Bench[] = [
  ofAll('minutes-robust', most(0.9), 'minutes'),
  {
    name: 'minutes-robust-worst',
    unit: '',
    goal: most(1),
    run: () => Math.max(...[...reported().worlds.values()].map(({ minutes }) => minutes.value)),
  },
  ofAll('calibration-robust', most(0.05), 'calibration'),
  ofAll('confidently-wrong', most(0.02), 'confidentlyWrong'),
  ofAll('confident-and-right', least(0.6), 'confidentAndRight'),
  ofAll('unknown-noticed', least(0.8), 'unknownNoticed'),
  ofAll('unknown-false-alarm', most(0.05), 'unknownFalseAlarm'),
]

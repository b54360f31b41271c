// The short form of the benches `minutes-robust` and those beside it: two trees and few seeds, and the arithmetic on
// walks made up by hand.

import { describe, expect, it } from 'vitest'
import { noHistory, outsideKey, sumOf } from '../../server/diagnosis/ranking/cause-counts.ts'
import { type Candidates, candidatesOf, drawDepot } from '../../server/practice/trials/depot.ts'
import { trialFigures } from '../../server/practice/trials/trial-figures.ts'
import { runTrials, type Tried } from '../../server/practice/trials/trial-run.ts'
import { type TrialWalk, trialWalk } from '../../server/practice/trials/trial-walk.ts'
import { TRIAL_WORLDS, type TrialWorld } from '../../server/practice/trials/trial-worlds.ts'
import { hide } from '../../server/practice/worlds.ts'
import { createRandom } from '../../server/statistics/random.ts'
import { shippedKnowledge } from '../bench/shared.ts'

const knowledge = shippedKnowledge()
const trees = ['case-supply-low', 'fuse-blows-again']

function run(seeds: number[], worlds: readonly TrialWorld[] = TRIAL_WORLDS): Tried[] {
  return runTrials({ knowledge, worlds, seeds, trees, chanceOf: createRandom })
}

function worldOf(name: string): TrialWorld {
  const world = TRIAL_WORLDS.find(one => one.name === name)
  if (!world) throw new Error(`There is no world ${name}.`)
  return world
}

describe('worlds that do not obey the tree', () => {
  const tried = run([1, 2])

  it('walks a fault in every world to an end, and every chance it states is one', () => {
    expect(new Set(tried.map(({ world }) => world))).toEqual(new Set(TRIAL_WORLDS.map(({ name }) => name)))
    const walks = tried.flatMap(({ author, suggestions }) => [author, suggestions])
    for (const { first, mended, minutes, checks } of walks) {
      expect(checks).toBeGreaterThan(0)
      expect(minutes).toBeGreaterThan(0)
      for (const { chance } of [...first, ...mended]) expect(chance >= 0 && chance <= 1 + 1e-9).toBe(true)
    }
  })

  it('finds the same for the same seeds, and other faults for others', () => {
    const few = [worldOf('One slip in ten')]
    expect(run([1, 2], few)).toEqual(tried.filter(({ world }) => world === 'One slip in ten'))
    expect(run([3, 4], few)).not.toEqual(run([1, 2], few))
  })

  it('comes by the tree’s order to a cause that shows as the tree says', () => {
    const cause = 'case-supply/transformer-tap-wrong'
    const hidden = hide('case-supply-low', cause, createRandom('tap'))
    if (!hidden) throw new Error('The tap never showed as a low supply.')
    const fault = { hidden, causes: [cause], history: noHistory, world: worldOf('Nothing amiss') }
    const walked = trialWalk(knowledge, fault, 'author', createRandom('walk'))
    expect(walked.end).toBe('cause')
    expect(walked.mended.map(one => one.true)).toEqual([true])
  })
})

describe('a depot of a trial', () => {
  const candidates: Candidates = {
    foreseen: ['a', 'b', 'c', 'd'].map(cause => ({ cause, weight: 10 })),
    unforeseen: [{ cause: 'x', weight: 10 }],
  }

  it('keeps each share within a factor of three, and the author’s own where nothing is amiss', () => {
    const weights = (name: string, seed: string) =>
      drawDepot(candidates, worldOf(name), createRandom(seed)).foreseen.map(({ weight }) => weight)
    expect(weights('Nothing amiss', 's')).toEqual([10, 10, 10, 10])
    const many = Array.from({ length: 50 }, (_, seed) => weights('Other shares', `${seed}`)).flat()
    expect(Math.min(...many)).toBeGreaterThanOrEqual(10 / 3)
    expect(Math.max(...many)).toBeLessThanOrEqual(30)
    expect(Math.max(...many)).toBeGreaterThan(25)
  })

  it('has unforeseen causes in its past, as something no tree holds', () => {
    const past = (name: string) =>
      Array.from({ length: 20 }, (_, seed) => drawDepot(candidates, worldOf(name), createRandom(`${seed}`)))
    const outside = past('Unforeseen causes').reduce(
      (sum, { history }) => sum + (history.elsewhere.get(outsideKey) ?? 0),
      0,
    )
    const all = past('Unforeseen causes').reduce((sum, { history }) => sum + sumOf(history.elsewhere), 0)
    expect(outside / all).toBeGreaterThan(0.06)
    expect(outside / all).toBeLessThan(0.14)
    expect(past('Other shares').some(({ history }) => history.elsewhere.has(outsideKey))).toBe(false)
  })

  it('takes only causes that show as the symptom', () => {
    const { foreseen, unforeseen } = candidatesOf(knowledge, 'case-supply-low', createRandom('seen'))
    const causes = foreseen.map(({ cause }) => cause)
    expect(causes).toContain('case-supply/transformer-tap-wrong')
    expect(causes).not.toContain('case-supply/case-fuse-blown')
    expect([...foreseen, ...unforeseen].every(({ weight }) => weight > 0)).toBe(true)
  })
})

describe('the figures of many trials', () => {
  const walk = (end: TrialWalk['end'], minutes: number, ...mended: TrialWalk['mended']): TrialWalk => ({
    ...{ end, minutes, checks: 1, mended, first: mended },
  })
  const trial = (author: TrialWalk, suggestions: TrialWalk, foreseen = true, weight = 1): Tried => ({
    ...{ world: 'w', tree: 't', foreseen, weight, author, suggestions },
  })
  const right = { chance: 0.95, true: true }
  const wrong = { chance: 0.95, true: false }
  const unsure = { chance: 0.55, true: true }
  const tried = [
    trial(walk('cause', 20, right), walk('cause', 10, right)),
    trial(walk('cause', 20, unsure), walk('cause', 50, wrong, unsure)),
    trial(walk('cause', 20, right), walk('outside', 5)),
    trial(walk('given up', 99), walk('cause', 40, right)),
    trial(walk('outside', 9), walk('outside', 9), false),
    trial(walk('outside', 9), walk('given up', 90, wrong), false),
  ]
  const figures = trialFigures(tried, createRandom('limits'))

  it('are worked out over the right walks', () => {
    expect(figures.minutes.value).toBeCloseTo(60 / 40, 12)
    expect(figures.confidentlyWrong.value).toBeCloseTo(2 / 6, 12)
    expect(figures.confidentAndRight.value).toBeCloseTo(2 / 4, 12)
    expect(figures.unknownFalseAlarm.value).toBeCloseTo(1 / 4, 12)
    expect(figures.unknownNoticed.value).toBeCloseTo(1 / 2, 12)
    expect(figures.reached.value).toBeCloseTo(3 / 4, 12)
    expect(figures.reachedByAuthor.value).toBeCloseTo(3 / 4, 12)
  })

  it('hold the chance that was said against how often it was so', () => {
    // Over 90 %: four said 0.95, two were so. Once 0.55, and it was so.
    expect(figures.calibration.value).toBeCloseTo((Math.abs(4 * 0.95 - 2) + Math.abs(0.55 - 1)) / 5, 12)
  })

  it('have limits about them, the same each time', () => {
    for (const { value, low, high } of Object.values(figures)) {
      expect(low).toBeLessThanOrEqual(value)
      expect(high).toBeGreaterThanOrEqual(value)
    }
    expect(trialFigures(tried, createRandom('limits'))).toEqual(figures)
  })
})

// Updating probabilities, against published tables. Where two things may be wrong at once, the states are the
// combinations, so that the same rule applies.

import { describe, expect, it } from 'vitest'
import { update } from '../../server/diagnosis/ranking/rank.ts'

function given(before: number[], ...evidence: number[][]): { states: number[]; chance: number } {
  let states = before
  let chance = 1
  for (const chances of evidence) {
    const { moves, evidence: own } = update(states, chances)
    states = states.map((state, index) => state * (moves[index] ?? 1))
    chance *= own
  }
  return { states, chance }
}

const total = (states: number[], picked: (index: number) => boolean) =>
  states.reduce((sum, state, index) => (picked(index) ? sum + state : sum), 0)

describe('car start problem', () => {
  // Jensen and Nielsen, Bayesian Networks and Decision Graphs, 2nd ed. 2007, section 2. Read in source, recomputed.
  // States: fuel and clean, fuel and dirty, no fuel and clean, no fuel and dirty.
  const before = [0.98 * 0.96, 0.98 * 0.04, 0.02 * 0.96, 0.02 * 0.04]
  const noStart = [1 - 0.99, 1 - 0.01, 1, 1]
  const half = [0.6, 0.6, 0.001, 0.001]
  const empty = [0.01, 0.01, 0.998, 0.998]
  const noFuel = (states: number[]) => total(states, index => index >= 2)
  const dirty = (states: number[]) => total(states, index => index % 2 === 1)

  it('gives no fuel .29 and dirty plugs .58 when the car does not start', () => {
    const { states, chance } = given(before, noStart)
    expect(noFuel(states)).toBeCloseTo(0.29318634924, 10)
    expect(dirty(states)).toBeCloseTo(0.58062624604, 10)
    expect(chance).toBeCloseTo(0.068216, 10)
  })

  it('gives no fuel .001 and dirty plugs .804 when the meter then shows half', () => {
    const { states } = given(before, noStart, half)
    expect(noFuel(states)).toBeCloseTo(6.908558e-4, 9)
    expect(dirty(states)).toBeCloseTo(0.80434962832, 10)
  })

  // Computed.
  it('gives no fuel .976 when the meter shows empty', () => {
    const { states, chance } = given(before, noStart, empty)
    expect(noFuel(states)).toBeCloseTo(0.97641345142, 10)
    expect(dirty(states)).toBeCloseTo(0.05804083326, 10)
    expect(chance).toBeCloseTo(0.02044216, 10)
  })
})

describe('chest clinic', () => {
  // Lauritzen and Spiegelhalter 1988, as printed by a general package's guide. Read in source, recomputed.
  // States: all combinations of tuberculosis, smoking, lung cancer and bronchitis, given a visit to Asia (chance .01).
  const bits = Array.from({ length: 16 }, (_, state) => ({
    tub: (state & 8) !== 0,
    smoke: (state & 4) !== 0,
    lung: (state & 2) !== 0,
    bronc: (state & 1) !== 0,
  }))
  const chance = (yes: boolean, p: number) => (yes ? p : 1 - p)
  const states = (tubChance: number) =>
    bits.map(
      ({ tub, smoke, lung, bronc }) =>
        chance(tub, tubChance) * 0.5 * chance(lung, smoke ? 0.1 : 0.01) * chance(bronc, smoke ? 0.6 : 0.3),
    )
  const either = bits.map(({ tub, lung }) => tub || lung)
  const dysp = bits.map(({ bronc }, index) => (either[index] ? (bronc ? 0.9 : 0.7) : bronc ? 0.8 : 0.1))
  const xray = either.map(yes => (yes ? 0.98 : 0.05))
  const marginal = (list: number[], name: 'tub' | 'lung' | 'bronc') =>
    total(list, index => bits[index]?.[name] ?? false)

  it('has the priors .0104, .055 and .45', () => {
    const list = states(0.01 * 0.05 + 0.99 * 0.01)
    expect(marginal(list, 'tub')).toBeCloseTo(0.0104, 12)
    expect(marginal(list, 'lung')).toBeCloseTo(0.055, 12)
    expect(marginal(list, 'bronc')).toBeCloseTo(0.45, 12)
  })

  it('gives .08775, .09953 and .8114 after a visit to Asia with shortness of breath', () => {
    const found = given(states(0.05), dysp)
    expect(marginal(found.states, 'tub')).toBeCloseTo(0.08775096498, 10)
    expect(marginal(found.states, 'lung')).toBeCloseTo(0.09952514509, 10)
    expect(marginal(found.states, 'bronc')).toBeCloseTo(0.81140207159, 10)
    expect(total(found.states, index => either[index] ?? false)).toBeCloseTo(0.18229985282, 10)
    expect(found.chance * 0.01).toBeCloseTo(0.004501375, 9)
  })

  // Computed.
  it('gives .338, .371 and .491 after a visit to Asia with a shadow on the picture', () => {
    const found = given(states(0.05), xray)
    expect(marginal(found.states, 'tub')).toBeCloseTo(0.33771559522, 10)
    expect(marginal(found.states, 'lung')).toBeCloseTo(0.37148715475, 10)
    expect(marginal(found.states, 'bronc')).toBeCloseTo(0.49110222789, 10)
  })
})

describe('one imperfect check', () => {
  // Eddy 1982: prior .01, hit rate .80, false alarms .096. Read in source, recomputed.
  it('leaves 7.76 % after one alarm', () => {
    expect(given([0.01, 0.99], [0.8, 0.096]).states[0]).toBeCloseTo(0.07763975155, 10)
  })

  // Casscells 1978. Value from memory, recomputed.
  it('leaves about 2 % where a 5 % false alarm meets one in a thousand', () => {
    expect(given([0.001, 0.999], [1, 0.05]).states[0]).toBeCloseTo(0.01962708538, 10)
  })

  // Black 1965; Chew; Ross: a search that fails. Value from memory.
  it('moves p to p(1 − d) / (1 − pd) after a search that found nothing', () => {
    const [p, d] = [0.4, 0.7]
    const { states } = given([p, 1 - p], [1 - d, 1])
    expect(states[0]).toBeCloseTo((p * (1 - d)) / (1 - p * d), 12)
    expect(states[1]).toBeCloseTo((1 - p) / (1 - p * d), 12)
  })
})

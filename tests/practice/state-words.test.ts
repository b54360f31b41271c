// A check's own words say what is off, out, on and due when its reading is taken.

import { describe, expect, it } from 'vitest'
import type { State } from '../../server/circuit/world.ts'
import type { Check } from '../../server/knowledge/types.ts'
import { nothingStated } from '../../server/measurement/instruments/suitability.ts'
import { stateAt, stateFound } from '../../server/practice/state-words.ts'

function check(instruction: string, disturbs: string | null = null): Check {
  return {
    ...{
      tree: 'dead',
      slug: 'a',
      title: 'A',
      cautions: [],
      instruction,
      minutes: 1,
      access: null,
      needs: [],
    },
    ...{ does: { kind: 'observe', what: 'something', between: [], clamp: false }, instrument: nothingStated },
    ...{ insulationTest: false, endsOff: null, disturbs, blind: false, slip: null, rows: [] },
    source: { path: 'trees/dead.md', line: 1 },
  }
}

function reached(...steps: [string, string?][]): State {
  return steps.reduce(
    (state, [words, disturbs]) => stateAt(check(words, disturbs ?? null), state),
    stateFound(true),
  )
}

const lifted = (state: State) => [...state.lifted].sort()

describe('stateAt', () => {
  it.each([
    ['Lift the arming cores from A1 and A2.', 'arming cores off A1 and A2', ['A1', 'A2']],
    [
      'Lift the cores from A1, A2, T1 and T2.',
      'arming and trigger cores off the line terminals',
      ['A1', 'A2', 'T1', 'T2'],
    ],
    ['Measure between the lifted two.', 'screen off SA, core off A1', ['A1', 'SA']],
    ['Isolate the feeder at both ends.', 'feeder cores off at both ends', ['U1', 'U2', 'Z1', 'Z2']],
    ['Open the arming link at A1, or lift its core.', undefined, ['A1']],
    ['Turn the drive off. Lift the loop ends from LA1 and LA2.', undefined, ['D1', 'LA1', 'LA2']],
    ['Set the meter to AC volts. Hold the probes on S1 and S2.', undefined, []],
  ] as const)('“%s” (%s)', (words, disturbs, terminals) => {
    expect(lifted(reached([words, disturbs]))).toEqual(terminals)
  })

  it('puts back what a text says is back, and leaves the rest', () => {
    const off = reached(['Lift the cores from A1, A2, T1 and T2.'], ['Put the arming core back on A1.'])
    expect(lifted(off)).toEqual(['A2', 'T1', 'T2'])
    const loads = reached(['Connect the test load to A1 and A2.', 'arming cores off A1 and A2, test load on'])
    expect([...loads.testLoad]).toEqual(['arming'])
    const done = stateAt(check('Put the cores and screens back first.'), loads)
    expect([...done.testLoad, ...lifted(done)]).toEqual([])
  })

  it('takes a fuse out, and puts another in', () => {
    const out = reached(['Take the supply fuse out.', 'supply fuse out'])
    expect([...out.out]).toEqual(['supply fuse'])
    const fitted = stateAt(check('Fit a fuse of the rating on the diagram.'), out)
    expect({ out: [...fitted.out], newFuse: fitted.newFuse }).toEqual({ out: [], newFuse: true })
  })

  it('turns the drive off and on in the order of the text, and knows when the signal asks for none', () => {
    expect(
      lifted(reached(['Turn the drive off. Lift the core from A1. Turn the drive on. Read the current.'])),
    ).toEqual(['A1'])
    expect(reached(['Read the current while the signal shows proceed.']).due).toBe(false)
    expect(reached(['Ask for a proceed aspect.'], ['Have the signal put to danger.']).due).toBe(true)
  })

  it('joins what a test lead joins, and never changes the state it was given', () => {
    const before = stateFound(true)
    const words = 'test lead from the arming screen to LA1, screen off SA'
    const joined = stateAt(check('Measure between the lifted two.', words), before)
    expect(joined.leads).toEqual([['SA@link', 'LA1']])
    expect(before).toEqual(stateFound(true))
  })
})

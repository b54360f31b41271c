import { expect, it } from 'vitest'
import type { Check } from '../../server/knowledge/types.ts'
import { testsElectronics } from '../../server/practice/dangers.ts'
import { pairOf } from '../../server/practice/measured.ts'
import { stateAt, stateFound } from '../../server/practice/state-words.ts'
import { shippedKnowledge } from '../bench/shared.ts'

const found = stateFound(true)
const asking = (check: Check, done: boolean, probes: [string, string] | null) => ({
  ...{ check, done, probes, instrument: null, expected: null },
})
const tests = [...shippedKnowledge().trees.values()].flatMap(tree =>
  [...tree.checks.values()]
    .filter(check => check.insulationTest)
    .map(check => [`${tree.slug}#${check.slug}`, check] as const),
)

it('has insulation tests to try', () => {
  expect(tests.length).toBeGreaterThan(3)
})

it.each(tests)('%s is safe done as it says, and not before that', (_, check) => {
  expect(testsElectronics(asking(check, true, pairOf(check)), found)).toBe(false)
  if (check.disturbs) expect(testsElectronics(asking(check, false, pairOf(check)), found)).toBe(true)
})

it.each(tests)('%s is not safe on the terminals of a module that is in', (_, check) => {
  expect(testsElectronics(asking(check, true, ['M1', 'M0']), found)).toBe(true)
  const out = { ...stateAt(check, found), out: new Set(['transmitter module', 'power module'] as const) }
  expect(testsElectronics(asking(check, true, ['M1', 'M0']), out)).toBe(false)
})

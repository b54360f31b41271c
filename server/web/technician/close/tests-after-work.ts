// The tests after work on the closing form: for each that is wanted, whether it passed and who made it.

import { plainWords } from '../../../plain-words.ts'
import { type TestMade, type TestWanted, testsWanted } from '../../../walk/tests-after-work.ts'
import type { FaultInHand } from '../in-hand/fault-in-hand.ts'

/** A test as the form asks for it; `passed` and `madeBy` are the names of its fields. */
export interface TestAsked extends TestWanted {
  passed: string
  madeBy: string
}

/** The tests that a repair of the cause where the walk stands wants; none elsewhere. */
export function testsAsked({ knowledge, walk }: FaultInHand): TestAsked[] {
  if (walk.place.kind !== 'cause') return []
  return testsWanted(knowledge, walk.place.cause).map((wanted, index) => ({
    ...wanted,
    passed: `passed${index}`,
    madeBy: `madeBy${index}`,
  }))
}

/** Of those asked for, the ones ticked as passed, with the name given; a name is at most 80 characters. */
export function testsMade(asked: TestAsked[], sent: Record<string, unknown>): TestMade[] {
  return asked.flatMap(({ test, by, passed, madeBy }) => {
    const name = sent[madeBy]
    if (sent[passed] !== 'yes' || typeof name !== 'string') return []
    return { test, by, madeBy: plainWords(name).trim().slice(0, 80) }
  })
}

/** The fields as sent, to carry them to the page that is signed. */
export function testFields(
  asked: TestAsked[],
  sent: Record<string, unknown>,
): { name: string; value: string }[] {
  return asked
    .flatMap(({ passed, madeBy }) => [passed, madeBy])
    .flatMap(name => {
      const value = sent[name]
      return typeof value === 'string' ? { name, value } : []
    })
}

// What the railway has tested once a cause is mended and proved, and what of it is still to do.

import type { Cause, Knowledge, Tester } from '../knowledge/types.ts'

/** A test after work that passed, as it is signed. */
export interface TestMade {
  test: string
  by: Tester
  /** Name of who made it. */
  madeBy: string
}

/** A test that is wanted, in the order of the equipment file. */
export interface TestWanted {
  test: string
  by: Tester
  /** Where the file has it from. */
  from: string
}

/** The tests after work that a repair of this cause wants. */
export function testsWanted(knowledge: Knowledge, cause: Cause): TestWanted[] {
  const all = knowledge.equipment.get(cause.equipment)?.testsAfterWork ?? []
  return all
    .filter(one => one.cause === null || one.cause === cause.title)
    .map(({ test, by, from }) => ({ test, by, from }))
}

/** Why the tests made are not enough, a sentence each; `signer` is who did the work and signs. */
export function testsMissing(wanted: TestWanted[], made: readonly TestMade[], signer: string): string[] {
  return wanted.flatMap(({ test, by }) => {
    const madeBy = made.find(one => one.test === test && one.by === by)?.madeBy.trim()
    if (!madeBy) return [`Test after work not passed yet: ${test}.`]
    const alone = by === 'second person' && sameName(madeBy, signer)
    return alone ? [`A second person makes this test: ${test}.`] : []
  })
}

function sameName(a: string, b: string): boolean {
  const plain = (name: string) => name.trim().replace(/\s+/g, ' ').toLowerCase()
  return plain(a) === plain(b)
}

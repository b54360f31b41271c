import { describe, expect, it } from 'vitest'
import type { Check } from '../../server/knowledge/types.ts'
import { parseExpectation } from '../../server/measurement/limits/expectation.ts'
import { expectedAt, valuesAt } from '../../server/walk/expected.ts'
import { walk } from '../../server/walk/place.ts'
import { equipment, knowledge, treeSlug } from './small-knowledge.ts'
import { reading } from './small-record.ts'

// Invented limits; what is tested is which numbers go into them.

const known = {
  ...equipment,
  facts: [
    { name: 'cable length', unit: 'm', choices: [], meaning: '', role: null, source: equipment.source },
    { name: 'direction', unit: null, choices: ['normal'], meaning: '', role: null, source: equipment.source },
  ],
}
const nowhere = walk(knowledge, treeSlug, [])

function checkExpecting(text: string): Check {
  const check = knowledge.trees.get(treeSlug)?.checks.get('drive')
  const parsed = parseExpectation(text)
  if (check?.does.kind !== 'measure' || !parsed.ok) throw new Error(text)
  return { ...check, does: { ...check.does, expectation: parsed.expectation } }
}

describe('what a check should read', () => {
  it('is nothing for a blank limit or an observation', () => {
    const [drive, fuse] = ['drive', 'fuse'].map(slug => knowledge.trees.get(treeSlug)?.checks.get(slug))
    for (const check of [drive, fuse]) {
      expect(check && expectedAt(known, {}, nowhere, check)).toEqual({ range: null, problem: null })
    }
  })

  it('takes the facts of the position, with a comma too', () => {
    const { range } = expectedAt(
      known,
      { 'cable length': '80,5' },
      nowhere,
      checkExpecting('at most 2 × cable length'),
    )
    expect(range).toMatchObject({ max: 161, unit: 'm' })
  })

  it('says what is not on record', () => {
    const { range, problem } = expectedAt(known, {}, nowhere, checkExpecting('at most 2 × cable length'))
    expect(range).toBeNull()
    expect(problem).toContain('cable length')
  })

  it('takes earlier readings on the path by the title of their check, but not its own', () => {
    const after = walk(knowledge, treeSlug, [
      reading(1, 'supply', 'in range'),
      reading(2, 'drive', 'in range'),
    ])
    const values = valuesAt(known, { direction: 'normal' }, after, checkExpecting('at most 1 V AC'))
    expect([...values.keys()]).toEqual(['direction', 'reading of check supply'])
    expect(values.get('reading of check supply')).toMatchObject({ value: 96.4, unit: 'V AC' })
  })
})

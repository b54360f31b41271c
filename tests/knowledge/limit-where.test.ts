// A limit that holds only at some positions.

import { describe, expect, it } from 'vitest'
import { compile } from '../../server/knowledge/compile.ts'
import type { Check, Knowledge } from '../../server/knowledge/types.ts'
import { expectedAt } from '../../server/walk/expected.ts'
import { walk } from '../../server/walk/place.ts'
import { guideFolder } from './folder.ts'

const small = 'small-output-dead'

describe('a limit with a condition', () => {
  const { knowledge } = compiled(
    '| supply voltage | 99 to 121, where direction is normal | V AC | Demo value |',
  )

  it('has its range where the condition holds', () => {
    expect(supplyAt(knowledge, 'normal')).toEqual({ min: 99, max: 121 })
  })

  it('is as good as blank elsewhere, and where the fact is not on record', () => {
    expect(supplyAt(knowledge, 'opposite')).toBeNull()
    expect(supplyAt(knowledge, null)).toBeNull()
  })

  it.each([
    ['99 to 121, where directoin is normal', 'fact-unknown'],
    ['99 to 121, where direction is sideways', 'fact-unknown'],
    ['99 to 121, where direction', 'key-value'],
  ])('“%s” is reported as %s', (value, code) => {
    const { problems } = compiled(`| supply voltage | ${value} | V AC | Demo value |`)
    expect(problems.map(problem => problem.code)).toContain(code)
  })
})

function compiled(limit: string) {
  const written = '| supply voltage | 99 to 121 | V AC | Demo value |'
  return compile(guideFolder.map(file => ({ ...file, text: file.text.replace(written, limit) })))
}

function supplyAt(knowledge: Knowledge | null, direction: string | null) {
  const kit = knowledge?.equipment.get('small-transmitter')
  const check: Check | undefined = knowledge?.trees.get(small)?.checks.get('supply')
  if (!knowledge || !kit || !check) throw new Error('The example of the guide does not compile.')
  const facts: Record<string, string> = direction === null ? {} : { direction }
  const { range } = expectedAt(kit, facts, walk(knowledge, small, []), check)
  return range && { min: range.min, max: range.max }
}

import { describe, expect, it } from 'vitest'
import type { Knowledge } from '../../server/knowledge/types.ts'
import { narrate } from '../../server/walk/narrate.ts'
import type { Finding } from '../../server/walk/record.ts'
import { knowledge, treeSlug } from './small-knowledge.ts'
import { reading, record, rejection, seen } from './small-record.ts'

const cause = 'loop-transmitter/fuse-blown'
const toFuse = [reading(1, 'supply', 'none'), seen(3, 'fuse', 'blown')]

/** The small knowledge, its row at the supply that leads to the fuse saying something else. */
function saying(means: string): Knowledge {
  const copy = structuredClone(knowledge)
  const row = copy.trees
    .get(treeSlug)
    ?.checks.get('supply')
    ?.rows.find(one => one.label === 'none')
  if (!row) throw new Error('no such row')
  row.means = means
  return copy
}

const told = (of: Knowledge, findings: Finding[]) =>
  narrate(of, treeSlug, record({ findings })).map(row => row.because)

describe('what a row meant, on the record', () => {
  it('stays while nothing has overturned it', () => {
    expect(told(knowledge, toFuse)).toEqual([
      '96.4 V AC is none, so: Means none.',
      'Fuse: blown, so: Means blown.',
    ])
  })

  it('goes when the cause it led to was ruled out', () => {
    expect(told(knowledge, [...toFuse, rejection(4, cause)])[1]).toBe(
      'Fuse: blown. The cause it led to was ruled out later.',
    )
  })

  it('goes when it said a cause and the walk went on to another', () => {
    expect(told(saying('The lamp itself is at fault.'), toFuse)[0]).toBe('96.4 V AC is none.')
    expect(told(saying('Perhaps cause feeder.'), toFuse)[0]).toBe('96.4 V AC is none.')
  })

  it('stays when the cause it named is the one that was reached', () => {
    expect(told(saying('It is cause fuse-blown.'), toFuse)[0]).toContain('It is cause fuse-blown.')
  })

  it('stays while the walk has not gone on', () => {
    expect(told(saying('The lamp itself is at fault.'), toFuse.slice(0, 1))[0]).toContain('at fault')
  })
})

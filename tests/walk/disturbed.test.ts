import { describe, expect, it } from 'vitest'
import { disturbed, stillDisturbed } from '../../server/walk/disturbed.ts'
import { walk } from '../../server/walk/place.ts'
import type { FaultRecord } from '../../server/walk/record.ts'
import { knowledge, treeSlug } from './small-knowledge.ts'
import { departure, identity, minute, proof, reading, record, restored, seen } from './small-record.ts'

// One restoration for each item, never one tick for the set: the lesson of the 2016 irregularity at Cardiff East
// Junction (RAIB, secondary: summary), where six of eight were done and nobody counted. The keys are our own.

const items = (parts: Partial<FaultRecord>) => {
  const whole = record(parts)
  return disturbed(knowledge, walk(knowledge, treeSlug, whole.findings), whole)
}
const keys = (parts: Partial<FaultRecord>) => items(parts).map(item => `${item.key} ${item.state}`)

const toFuse = reading(1, 'supply', 'none')

describe('what is disturbed', () => {
  it('is nothing where the checks only measured', () => {
    expect(items({ findings: [reading(1, 'supply', 'in range')] })).toEqual([])
  })

  it('holds what a finding took apart, until that very item is restored', () => {
    const findings = [toFuse, seen(2, 'fuse', 'blown')]
    const [item] = items({ findings })
    expect(item).toMatchObject({ key: 'finding:f2', state: 'open', since: minute(2) })
    expect(item?.item).toBe('the supply fuse, out of its holder')
    expect(keys({ findings, restorations: [restored(3, 'item:other')] })).toEqual(['finding:f2 open'])
    expect(keys({ findings, restorations: [restored(3, 'finding:f2')] })).toEqual(['finding:f2 restored'])
  })

  it('counts a corrected finding once, and keeps it though it was struck', () => {
    const corrected = seen(3, 'fuse', 'whole', 'f2')
    expect(keys({ findings: [toFuse, seen(2, 'fuse', 'blown'), corrected] })).toEqual(['finding:f2 open'])
    const elsewhere = reading(3, 'supply', 'in range', { replaces: 'f2' })
    expect(keys({ findings: [toFuse, seen(2, 'fuse', 'blown'), elsewhere] })).toEqual(['finding:f2 open'])
  })

  it('holds findings that are not on the path', () => {
    expect(keys({ findings: [seen(1, 'fuse', 'blown')] })).toEqual(['finding:f1 open'])
  })

  it('asks about the check in hand once the equipment was identified there', () => {
    expect(keys({ findings: [toFuse] })).toEqual([])
    expect(keys({ findings: [toFuse], identities: [identity(2, false)] })).toEqual([])
    const parts = { findings: [toFuse], identities: [identity(2)] }
    expect(keys(parts)).toEqual(['place:output-dead#fuse perhaps'])
    const answer = restored(3, 'place:output-dead#fuse', 'never disturbed')
    expect(keys({ ...parts, restorations: [answer] })).toEqual(['place:output-dead#fuse never disturbed'])
  })

  it('asks again when a check comes round a second time', () => {
    const round = [
      departure(1, 'output-dead#supply', 'contact'),
      departure(3, 'output-dead#contact', 'contact'),
    ]
    const parts = { findings: round, identities: [identity(2)] }
    expect(keys(parts)).toEqual(['finding:f3 perhaps', 'place:output-dead#contact:2 perhaps'])
  })

  it('asks about a check that was left without a finding', () => {
    const left = [toFuse, departure(3, 'output-dead#fuse', 'drive')]
    expect(keys({ findings: left })).toEqual([])
    expect(keys({ findings: left, identities: [identity(2)] })).toEqual(['finding:f3 perhaps'])
  })

  it('does not ask again on leaving when it was answered just before', () => {
    const left = [toFuse, departure(4, 'output-dead#fuse', 'drive')]
    const restorations = [restored(3, 'place:output-dead#fuse', 'never disturbed')]
    expect(keys({ findings: left, identities: [identity(2)], restorations })).toEqual([])
  })

  it('holds what a proof disturbs again, and what was entered by hand', () => {
    const cause = 'loop-transmitter/fuse-blown'
    const strap = { ...identity(4), item: 'a strap across 3 and 4' }
    const findings = [toFuse, seen(2, 'fuse', 'blown')]
    const parts = { findings, proofs: [proof(5, cause, 'fuse', true)], disturbances: [strap] }
    expect(keys(parts)).toEqual(['finding:f2 open', 'item:identity4 open', 'proof:proof5 open'])
    expect(stillDisturbed(items({ ...parts, restorations: [restored(6, 'proof:proof5')] }))).toHaveLength(2)
  })

  it('does not throw on findings the edition does not know', () => {
    expect(
      items({ findings: [seen(1, 'no-such-check', 'blown'), departure(2, 'nowhere', 'nowhere')] }),
    ).toEqual([])
  })
})

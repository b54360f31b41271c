import { describe, expect, it } from 'vitest'
import { walk } from '../../server/walk/place.ts'
import type { FaultRecord } from '../../server/walk/record.ts'
import { held, needsIdentity } from '../../server/walk/stage.ts'
import { knowledge, treeSlug } from './small-knowledge.ts'
import { attendance, identity, minute, reading, record, restored } from './small-record.ts'

// Common practice, no published source: evidence is kept until someone in charge says otherwise, and the plate is
// read before the first intrusive step and after a break.

const toFuse = reading(1, 'supply', 'none')
const atCause = reading(1, 'supply', 'below')
const release = { id: 'release', at: minute(3), by: 'eve', byName: 'Eve', reason: 'photographed' }

const holdOf = (parts: Partial<FaultRecord>, protection: 'kept' | 'lost' | 'not known') => {
  const whole = record(parts, { protection })
  return held(walk(knowledge, treeSlug, whole.findings), whole)
}

describe('the evidence hold', () => {
  it('stops before a check that disturbs and before a repair, where protection was lost', () => {
    expect(holdOf({ findings: [toFuse] }, 'lost')?.why).toContain('the supply fuse, out of its holder')
    expect(holdOf({ findings: [atCause] }, 'lost')?.why).toContain('repair')
  })

  it('holds on the safe side where it is not known', () => {
    expect(holdOf({ findings: [toFuse] }, 'not known')).toMatchObject({ protection: 'not known' })
  })

  it('lets checks that only measure go on', () => {
    expect(holdOf({}, 'lost')).toBeNull()
  })

  it('is not there where protection was kept, or after an engineer released it', () => {
    expect(holdOf({ findings: [toFuse] }, 'kept')).toBeNull()
    expect(holdOf({ findings: [toFuse], holdReleases: [release] }, 'lost')).toBeNull()
  })
})

const need = (parts: Partial<FaultRecord>, now = 5) => {
  const whole = record(parts)
  const place = walk(knowledge, treeSlug, whole.findings)
  return needsIdentity(place, whole, minute(now), 30)?.reason ?? null
}

describe('the plate', () => {
  it('is asked for before the first reading, and then not while the checks disturb nothing', () => {
    expect(need({})).toBe('first reading')
    expect(need({ identities: [identity(2)] })).toBeNull()
    expect(need({ identities: [identity(2)] }, 60)).toBeNull()
  })

  it('is asked for before the first check that disturbs, and before a repair', () => {
    expect(need({ findings: [toFuse] })).toBe('first disturbing check')
    expect(need({ findings: [atCause] })).toBe('first disturbing check')
    expect(need({ findings: [toFuse], identities: [identity(2, false)] })).toBe('first disturbing check')
    expect(need({ findings: [toFuse], identities: [identity(2)] })).toBeNull()
  })

  it('is asked for again by whoever takes over', () => {
    const attendances = [attendance('first', 0, 3), attendance('second', 4)]
    expect(need({ findings: [toFuse], identities: [identity(2)], attendances })).toBe(
      'first disturbing check',
    )
    const again = [identity(2), identity(5, true, 'second')]
    expect(need({ findings: [toFuse], identities: again, attendances }, 6)).toBeNull()
  })

  it('is asked for again after a break, though something was written since', () => {
    const parts = { findings: [toFuse], identities: [identity(2)] }
    expect(need(parts, 32)).toBeNull()
    expect(need(parts, 33)).toBe('after a break')
    const busy = { ...parts, restorations: [restored(20, 'item:x'), restored(45, 'item:y')] }
    expect(need(busy, 60)).toBeNull()
    const late = { ...parts, restorations: [restored(40, 'item:x')] }
    expect(need(late, 41)).toBe('after a break')
    expect(need({ ...late, identities: [identity(2), identity(42)] }, 43)).toBeNull()
  })

  it('is asked of nobody when nobody attends', () => {
    expect(need({ findings: [toFuse], attendances: [] })).toBeNull()
  })
})

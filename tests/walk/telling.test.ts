import { describe, expect, it } from 'vitest'
import { evidenceFor } from '../../server/walk/evidence.ts'
import { handoverItems, handoverSummary, resume } from '../../server/walk/handover.ts'
import { narrate } from '../../server/walk/narrate.ts'
import { walk } from '../../server/walk/place.ts'
import type { FaultRecord } from '../../server/walk/record.ts'
import { knowledge, treeSlug } from './small-knowledge.ts'
import {
  cannotTell,
  departure,
  identity,
  minute,
  proof,
  reading,
  record,
  rejection,
  repair,
  restored,
  seen,
} from './small-record.ts'

// What comes next stands before the history: HSE, Human factors: shift handover (secondary: web page).

const cause = 'loop-transmitter/fuse-blown'
const findings = [reading(1, 'supply', 'none'), seen(3, 'fuse', 'blown')]
const atCause = { findings, identities: [identity(2)] }
const evidence = (parts: Partial<FaultRecord>) => {
  const whole = record(parts)
  return evidenceFor(knowledge, walk(knowledge, treeSlug, whole.findings), whole)
}

describe('evidence for a cause', () => {
  it('is there only at a cause', () => {
    expect(evidence({})).toBeNull()
  })

  it('names the findings that led to it', () => {
    expect(evidence(atCause)?.supports.map(step => step.check.slug)).toEqual(['supply', 'fuse'])
  })

  it('names checks not done that could prove it wrong', () => {
    expect(evidence(atCause)?.couldDisprove.map(check => check.slug)).toEqual(['drive'])
    expect(
      evidence({ findings: [reading(1, 'supply', 'below')] })?.couldDisprove.map(check => check.slug),
    ).toEqual(['drive'])
  })

  it('counts no other cause as alive when every finding was sure', () => {
    expect(evidence(atCause)?.alive).toEqual([])
  })

  it('keeps the other causes of a doubtful finding alive, and says why', () => {
    const doubtful = [reading(1, 'supply', 'none', { zone: 'out, close' }), seen(3, 'fuse', 'blown')]
    const alive = evidence({ findings: doubtful })?.alive ?? []
    expect(alive.map(one => one.cause.slug)).toEqual(['feeder', 'drive-lead', 'contact-worn'])
    expect(alive[0]?.because).toBe('The reading at “Check supply” was too close to call.')
  })

  it('does not count a cause that was ruled out', () => {
    const out = [cannotTell(1, 'supply', 'otherwise'), rejection(2, 'loop-transmitter/feeder')]
    const back = departure(3, 'choose:loop-transmitter/feeder', 'drive')
    const alive = evidence({ findings: [...out, back, reading(4, 'drive', 'below')] })?.alive ?? []
    expect(alive.map(one => one.cause.slug)).toEqual(['fuse-blown', 'fuse-holder'])
  })
})

describe('a handover', () => {
  it('says what comes next first, and each disturbed item under its own key', () => {
    const items = handoverItems(knowledge, record(atCause))
    expect(items[0]).toEqual({ key: 'next', text: 'Next: repair the cause “Cause fuse-blown”' })
    expect(items.find(item => item.key === 'finding:f3')?.text).toContain(
      'the supply fuse, out of its holder',
    )
    expect(new Set(items.map(item => item.key)).size).toBe(items.length)
  })

  it('lists open proofs after a repair, causes ruled out, and the hold', () => {
    const mended = record({
      ...atCause,
      repairs: [repair(4, cause)],
      restorations: [restored(5, 'finding:f3')],
      proofs: [proof(5, cause, 'supply', true)],
    })
    expect(handoverSummary(knowledge, mended).openProofs.map(item => item.kind)).toEqual(['check', 'symptom'])
    const ruledOut = record({ ...atCause, findings: [...findings, rejection(6, cause)] })
    expect(handoverSummary(knowledge, ruledOut)).toMatchObject({
      next: 'choose the check to go on with',
      excluded: ['Cause fuse-blown'],
    })
    const lost = record({ findings: findings.slice(0, 1) }, { protection: 'lost' })
    expect(handoverSummary(knowledge, lost).state.join(' ')).toContain('Evidence hold')
  })
})

describe('coming back', () => {
  it('says how long, what was last and what is first', () => {
    const back = resume(knowledge, record(atCause), minute(48))
    expect(back).toMatchObject({ awayMinutes: 45, firstNotDone: 'repair the cause “Cause fuse-blown”' })
    expect(back.lastDone).toMatchObject({ what: 'Check fuse', found: 'blown' })
  })

  it('counts from the start of the attendance when nothing is on record', () => {
    expect(resume(knowledge, record(), minute(7))).toMatchObject({ awayMinutes: 7, lastDone: null })
    expect(resume(knowledge, record(), minute(-7)).awayMinutes).toBe(0)
  })
})

describe('the record in rows', () => {
  it('tells everything once, in order of time, with what was struck', () => {
    const corrected = seen(5, 'fuse', 'whole', 'f3')
    const rows = narrate(
      knowledge,
      treeSlug,
      record({ ...atCause, findings: [...findings, corrected], repairs: [repair(6, cause)] }),
    )
    expect(rows.map(row => row.id)).toEqual(['f1', 'identity2', 'f3', 'f5', 'repair6'])
    expect(rows[2]?.struck).toMatchObject({ byName: 'Ada' })
    expect(rows[3]).toMatchObject({ because: 'Fuse: whole, so: Means whole.', struck: null, offPath: false })
  })

  it('marks what the path did not come by', () => {
    const rows = narrate(knowledge, treeSlug, record({ findings: [reading(1, 'contact', 'above')] }))
    expect(rows[0]).toMatchObject({ offPath: true, because: '' })
  })
})

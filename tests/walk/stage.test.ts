import { describe, expect, it } from 'vitest'
import { walk } from '../../server/walk/place.ts'
import { proofsNeeded, round } from '../../server/walk/proof.ts'
import type { FaultRecord } from '../../server/walk/record.ts'
import { stage } from '../../server/walk/stage.ts'
import { knowledge, treeSlug } from './small-knowledge.ts'
import {
  attendance,
  identity,
  minute,
  proof,
  reading,
  record,
  rejection,
  repair,
  restored,
  seen,
  symptomProof,
} from './small-record.ts'

// The order of repair, putting back, proving and signing is common practice, no published source.

const cause = 'loop-transmitter/fuse-blown'
const findings = [reading(1, 'supply', 'none'), seen(3, 'fuse', 'blown')]
const atCause = { findings, identities: [identity(2)] }
const mended = { ...atCause, repairs: [repair(5, cause)] }
const putBack = { ...mended, restorations: [restored(6, 'finding:f3')] }

const next = (parts: Partial<FaultRecord>, minutes = 10) =>
  stage(knowledge, record(parts), minute(minutes), 30)
const states = (parts: Partial<FaultRecord>) => {
  const whole = record(parts)
  const items = proofsNeeded(knowledge, walk(knowledge, treeSlug, whole.findings), whole)
  return items.map(item => `${item.kind === 'check' ? item.check.slug : 'symptom'} ${item.state}`)
}

describe('the next page', () => {
  it('goes from attending through the checks to the cause', () => {
    expect(next({ attendances: [attendance('first', 0, 5)] }).kind).toBe('not attended')
    expect(next({})).toMatchObject({ kind: 'identify', reason: 'first reading' })
    expect(next({ identities: [identity(1)] }).kind).toBe('check')
    expect(next({ findings: findings.slice(0, 1) })).toMatchObject({
      kind: 'identify',
      check: { slug: 'fuse' },
    })
    expect(next(atCause).kind).toBe('cause')
  })

  it('then puts back, proves and closes', () => {
    expect(next(mended)).toMatchObject({ kind: 'put back', open: [{ key: 'finding:f3' }] })
    expect(next(putBack)).toMatchObject({ kind: 'prove', failed: false })
    const proofs = [
      proof(7, cause, 'supply', true),
      proof(8, cause, 'fuse', true),
      symptomProof(9, cause, true),
    ]
    expect(next({ ...putBack, proofs }).kind).toBe('put back')
    const restorations = [...putBack.restorations, restored(9, 'proof:proof8')]
    expect(next({ ...putBack, proofs, restorations }, 11).kind).toBe('close')
  })

  it('answers a failed proof before anything else', () => {
    expect(next({ ...putBack, proofs: [proof(7, cause, 'supply', false)] })).toMatchObject({
      kind: 'prove',
      failed: true,
    })
  })

  it('opens the walk again once the cause is ruled out', () => {
    expect(next({ ...putBack, findings: [...findings, rejection(8, cause)] }).kind).toBe('choose')
  })

  it('is the hold where protection was lost, and the end page at an end', () => {
    const whole = record({ findings: findings.slice(0, 1) }, { protection: 'lost' })
    expect(stage(knowledge, whole, minute(4), 30).kind).toBe('held')
    const healthy = ['supply', 'drive', 'contact'].map((check, i) => reading(i + 1, check, 'in range'))
    expect(next({ findings: healthy, identities: [identity(2)] })).toMatchObject({
      kind: 'end',
      open: [{ key: 'finding:f3' }],
    })
  })
})

describe('proof', () => {
  it('wants each check the cause names and the symptom, and nothing away from a cause', () => {
    expect(states({})).toEqual([])
    expect(states(mended)).toEqual(['supply to do', 'fuse to do', 'symptom to do'])
  })

  it('lets the last word on a check stand', () => {
    const proofs = [proof(7, cause, 'supply', false), proof(8, cause, 'supply', true)]
    expect(states({ ...putBack, proofs })[0]).toBe('supply passed')
  })

  it('counts only what was proved after the last repair', () => {
    const proofs = [proof(7, cause, 'supply', true)]
    expect(states({ ...putBack, proofs, repairs: [repair(5, cause), repair(8, cause)] })[0]).toBe(
      'supply to do',
    )
  })

  it('begins a new round when a cause is ruled out, and the old repair no longer counts', () => {
    const back = [...findings, rejection(8, cause), reading(9, 'supply', 'none')]
    expect(round(record({ findings: back }))).toBe(1)
    const again = {
      ...mended,
      findings: [
        ...findings,
        rejection(8, cause),
        { ...departureBack(9), id: 'back' },
        reading(10, 'supply', 'none'),
        seen(11, 'fuse', 'blown'),
      ],
      identities: [identity(2), identity(12)],
    }
    expect(next(again, 13).kind).toBe('cause')
    expect(next({ ...again, repairs: [repair(5, cause), repair(13, cause)] }, 14).kind).toBe('put back')
  })
})

function departureBack(seq: number) {
  const { chosenRow: _, ...made } = seen(seq, 'supply', '')
  const to = { tree: treeSlug, check: 'supply' }
  return { ...made, kind: 'departure' as const, from: `choose:${cause}`, to, suggested: false }
}

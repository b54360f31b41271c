import { describe, expect, it } from 'vitest'
import { checkEvidence, endEvidence } from '../../../server/diagnosis/judging/check-evidence.ts'
import type { FaultRecord } from '../../../server/walk/record.ts'
import { at, knowledge, treeSlug } from '../../walk/small-knowledge.ts'
import { departure, reading, record, rejection, seen } from '../../walk/small-record.ts'

// The small record's findings are a minute apart, by their number.

const kit = 'loop-transmitter'
const closed = (cause: string, findings: FaultRecord['findings']): FaultRecord => {
  const closure = { id: 'c', attendanceId: 'first', at: '2026-03-03T09:00:00.000Z', by: 'ada', byName: 'Ada' }
  const rest = {
    outcome: 'proven cause',
    cause: `${kit}/${cause}`,
    clearedItself: false,
    changed: '',
    words: '',
  } as const
  return record({ findings, closure: { ...closure, ...rest } })
}
const evidenceOf = (...records: FaultRecord[]) =>
  checkEvidence(records.map(one => ({ record: one, knowledge })))
const of = (check: string, ...records: FaultRecord[]) => evidenceOf(...records).get(`${treeSlug}#${check}`)

const fuse = closed('fuse-blown', [reading(1, 'supply', 'none'), seen(4, 'fuse', 'blown')])
const drive = closed('drive-lead', [reading(1, 'supply', 'in range'), reading(3, 'drive', 'below')])

describe('what the record says of a check', () => {
  it('counts how often it was reached, and the middle of the minutes it took', () => {
    expect(of('supply', fuse, drive)).toMatchObject({ reached: 2, minutes: { middle: 1, n: 2 } })
    expect(of('fuse', fuse, drive)).toMatchObject({ reached: 1, minutes: { middle: 3, n: 1 } })
    expect(of('contact', fuse, drive)).toBeUndefined()
  })

  it('counts for each row whether the proven cause lay behind it', () => {
    expect(of('supply', fuse, drive)?.rows).toEqual([
      { label: 'none', taken: 1, confirmed: 1, reversed: 0 },
      { label: 'in range', taken: 1, confirmed: 1, reversed: 0 },
    ])
    const elsewhere = closed('feeder', [reading(1, 'supply', 'none'), seen(4, 'fuse', 'blown')])
    expect(of('fuse', elsewhere)?.rows).toEqual([{ label: 'blown', taken: 1, confirmed: 0, reversed: 1 }])
  })

  it('counts a cause that was ruled out against the row that led to it', () => {
    const findings = [
      reading(1, 'supply', 'none'),
      seen(2, 'fuse', 'blown'),
      rejection(3, `${kit}/fuse-blown`),
    ]
    expect(of('fuse', record({ findings }))?.rows).toEqual([
      { label: 'blown', taken: 1, confirmed: 0, reversed: 1 },
    ])
    expect(endEvidence([{ record: record({ findings }), knowledge }]).get(`${kit}/fuse-blown`)).toMatchObject(
      {
        reached: 1,
        confirmed: 0,
        reversed: 1,
      },
    )
  })

  it('counts where the path was left and why, and where a row was overruled', () => {
    const left = record({ findings: [departure(1, `${at('supply').tree}#supply`, 'drive')] })
    expect(of('supply', left)).toMatchObject({ reached: 0, deviations: 1, reasons: ['smelt burning'] })
    const overruled = reading(1, 'supply', 'in range', { chosenRow: 'none', reason: 'meter flat' })
    expect(of('supply', record({ findings: [overruled] }))).toMatchObject({
      deviations: 1,
      reasons: ['meter flat'],
    })
  })

  it('counts when the likeliest cause became another', () => {
    const shifts = evidenceOf(fuse, drive)
    const all = [...shifts.values()].reduce((sum, one) => sum + one.changedSuspicion, 0)
    expect(all).toBeGreaterThan(0)
    expect(of('fuse', fuse)?.changedSuspicion).toBeLessThanOrEqual(1)
  })

  it('leaves out a pause, which tells nothing of the check', () => {
    const rest = closed('fuse-blown', [reading(1, 'supply', 'none'), seen(40 * 60, 'fuse', 'blown')])
    expect(of('fuse', rest)?.minutes).toBeNull()
  })

  it('is nothing without a record', () => {
    expect(evidenceOf()).toEqual(new Map())
    expect(evidenceOf(record())).toEqual(new Map())
  })
})

import { beforeEach, describe, expect, it } from 'vitest'
import { verifyDatabase } from '../../../server/storage/safekeeping/verify.ts'
import { attendance, handover, type Made, makeFault, mine, observation, START } from '../make.ts'

let made: Made
beforeEach(() => {
  made = makeFault()
})

describe('handing over', () => {
  const bens = { ...attendance, id: 'att2', personId: 'ben' }
  const confirm = (key: string, by = 'ben') =>
    made.storage.handovers.confirm({ id: `${by} ${key}`, handoverId: 'ho', key, by })
  const accept = (who = bens) => made.storage.handovers.accept({ handoverId: 'ho', attendance: who })

  beforeEach(() => void made.storage.handovers.add(handover))

  it('passes the fault on when each item is confirmed', () => {
    confirm('place')
    expect(accept).toThrow(/1 of the items/)
    confirm('item:a')
    expect(accept()).toEqual({ repeated: false })
    const record = made.storage.faults.get('fault')
    expect(record.attendances.map(({ id, endedHow }) => [id, endedHow])).toEqual([
      ['att', 'handed over'],
      ['att2', null],
    ])
    expect(record.handovers).toEqual([
      {
        ...{
          id: 'ho',
          attendanceId: 'att',
          at: START,
          by: 'ada',
          byName: 'Ada Wren',
          nextStep: 'Drive input',
        },
        ...{ words: 'end of shift', acceptedAt: START, acceptedBy: 'ben', withdrawnAt: null },
        items: handover.items.map(item => ({ ...item, confirmedAt: START })),
      },
    ])
  })

  it('is accepted once, and again without harm', () => {
    for (const { key } of handover.items) confirm(key)
    accept()
    expect(accept()).toEqual({ repeated: true })
    expect(() => accept({ ...bens, id: 'att3' })).toThrow(expect.objectContaining({ code: 'conflict' }))
    expect(confirm('place')).toEqual({ repeated: true })
  })

  it('is all or nothing: a new attendance that can’t begin leaves the old one open', () => {
    for (const { key } of handover.items) confirm(key)
    expect(() => accept({ ...bens, spokenTo: null as never })).toThrow(/NOT NULL/)
    expect(made.storage.attendances.openOf('fault')?.id).toBe('att')
    expect(made.storage.faults.get('fault').handovers[0]?.acceptedAt).toBeNull()
  })

  it('is not confirmed or accepted by the person handing over, nor accepted by one who did not confirm', () => {
    expect(() => confirm('place', 'ada')).toThrow(/incoming person/)
    for (const { key } of handover.items) confirm(key)
    expect(() => accept({ ...bens, personId: 'ada' })).toThrow(/somebody else/)
    expect(() => accept({ ...bens, personId: 'eve' })).toThrow(/2 of the items/)
  })

  it('refuses an item it has not, and one confirmed by another', () => {
    expect(() => confirm('?')).toThrow(expect.objectContaining({ code: 'not found' }))
    confirm('place')
    expect(() => confirm('place', 'eve')).toThrow(/Ben Holt has confirmed/)
  })

  it('goes by the newest handover', () => {
    for (const { key } of handover.items) confirm(key)
    made.storage.handovers.add({ ...handover, id: 'ho2' })
    expect(accept).toThrow(/newer handover/)
  })

  it('leaves nothing to do for whoever wrote it, until they take the fault back', () => {
    const { findings, disturbances, restorations, identities, handovers } = made.storage
    const tries = [
      () => findings.add(observation),
      () => disturbances.add({ ...mine, id: 'd', item: 'strap' }),
      () => restorations.add({ ...mine, id: 'r', itemKey: 'item:a', how: 'restored', note: null }),
      () => identities.add({ ...mine, id: 'i', typed: 'AB11', matched: true }),
    ]
    for (const attempt of tries) expect(attempt).toThrow(/handed over. Take it back first/)
    expect(() => handovers.withdraw({ id: 'w', handoverId: 'ho', by: 'ben' })).toThrow(/Ada Wren has this/)
    expect(handovers.withdraw({ id: 'w', handoverId: 'ho', by: 'ada' })).toEqual({ repeated: false })
    expect(handovers.withdraw({ id: 'w', handoverId: 'ho', by: 'ada' })).toEqual({ repeated: true })
    expect(() => handovers.withdraw({ id: 'w2', handoverId: 'ho', by: 'ada' })).toThrow(/taken this fault/)
    for (const attempt of tries) attempt()
    expect(made.storage.faults.get('fault').handovers[0]?.withdrawnAt).toBe(START)
  })

  it('is void once it is taken back, and a new one is not', () => {
    confirm('place')
    made.storage.handovers.withdraw({ id: 'w', handoverId: 'ho', by: 'ada' })
    expect(() => confirm('item:a')).toThrow(/Ada Wren has taken this fault back/)
    expect(accept).toThrow(/Ada Wren has taken this fault back/)
    made.storage.handovers.add({ ...handover, id: 'ho2' })
    expect(() => made.storage.findings.add(observation)).toThrow(/handed over/)
  })

  it('may still be closed with', () => {
    const close = { ...mine, id: 'end', outcome: 'not completed' as const, cause: null, clearedItself: false }
    const signature = { id: 'sig', printedName: 'Ada Wren', meaning: 'done' }
    made.storage.closures.add({ ...close, changed: 'nothing', words: 'fuse out' }, signature)
    expect(made.storage.faults.get('fault').closure?.outcome).toBe('not completed')
    expect(verifyDatabase(made.db).problems).toEqual([])
  })

  it('signs a taking back, which can then not be removed unseen', () => {
    made.storage.handovers.withdraw({ id: 'w', handoverId: 'ho', by: 'ada' })
    const close = { ...mine, id: 'end', outcome: 'not completed' as const, cause: null, clearedItself: false }
    const signature = { id: 'sig', printedName: 'Ada Wren', meaning: 'done' }
    made.storage.closures.add({ ...close, changed: 'nothing', words: 'fuse out' }, signature)
    expect(verifyDatabase(made.db).problems).toEqual([])
    made.db.function('trail_note', { varargs: true }, () => null)
    made.db.exec('DROP TRIGGER handover_withdrawals_no_delete; DELETE FROM handover_withdrawals')
    expect(verifyDatabase(made.db).problems).toEqual([
      expect.stringMatching(/handover_withdrawals w: this row is missing/),
      expect.stringMatching(/what Ada Wren signed .* is not what is on record/),
    ])
  })

  it('is void when the fault was taken over meanwhile', () => {
    for (const { key } of handover.items) confirm(key)
    made.storage.attendances.end('att', 'taken over')
    expect(accept).toThrow(/taken over/)
  })
})

import { beforeEach, describe, expect, it } from 'vitest'
import { attendance, handover, type Made, makeFault, START } from '../make.ts'

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
        ...{ words: 'end of shift', acceptedAt: START, acceptedBy: 'ben' },
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

  it('is void when the fault was taken over meanwhile', () => {
    for (const { key } of handover.items) confirm(key)
    made.storage.attendances.end('att', 'taken over')
    expect(accept).toThrow(/taken over/)
  })
})

import { describe, expect, it } from 'vitest'
import type { Taken } from '../../../server/measurement/readings/taken.ts'
import type { NewFinding, NewProof, NewRepair } from '../../../server/storage/storage.ts'
import { makeFault, makeRailway, mine, reading } from '../make.ts'

const dry: Taken = {
  correction: {
    steps: ['leads subtracted'],
    typed: [
      { what: 'reading', text: '0.8' },
      { what: 'leads', text: '0.3' },
    ],
    working: ['0.8 Ω − 0.3 Ω of leads = 0.5 Ω'],
    advice: null,
  },
  confirmed: ['Both ends are off'],
  wetOrDry: 'dry',
}
const wet: Taken = { correction: null, confirmed: [], wetOrDry: 'wet' }
const taken = (id: string, how: Taken | null, more: object = {}) =>
  ({ ...reading, id, taken: how, ...more }) as NewFinding

const fuse = { blownBy: 'a strand', rating: 2, load: 1.2, kind: 'gG' as const }
const repair: NewRepair = {
  ...mine,
  ...{
    id: 'refit',
    cause: 'loop-transmitter/supply-fuse-aged',
    action: 'fuse replaced',
    words: 'same',
    swap: null,
  },
  fuse,
}

describe('how a reading was taken', () => {
  it('comes back as it was written, and is left out where nothing was said', () => {
    const { storage } = makeFault()
    storage.findings.add(taken('with', dry))
    storage.findings.add(taken('without', null))
    const [first, second] = storage.faults.get('fault').findings
    expect(first).toMatchObject({ taken: dry })
    expect(second).not.toHaveProperty('taken')
  })

  it('is part of what a finding says: the same id with another is a conflict', () => {
    const { storage } = makeFault()
    storage.findings.add(taken('one', dry))
    expect(storage.findings.add(taken('one', dry)).repeated).toBe(true)
    expect(() => storage.findings.add(taken('one', wet))).toThrow('other content')
  })

  it('is kept of a proof too', () => {
    const { storage } = makeFault()
    const {
      kind,
      check,
      text,
      reading: read,
      range,
      verdict,
      instrument,
    } = reading as Extract<NewFinding, { kind: 'reading' }>
    const proof: NewProof = {
      ...mine,
      ...{ id: 'proof', cause: 'loop-transmitter/x', passed: true, round: 0, reason: null, taken: dry },
      ...{ kind, check, text, reading: read, range, verdict, instrument },
    }
    storage.proofs.add(proof)
    expect(storage.faults.get('fault').proofs[0]).toMatchObject({ taken: dry })
  })

  it('is refused by the database for what is no reading', () => {
    const { storage, db } = makeFault()
    storage.findings.add(taken('one', dry))
    expect(() =>
      db.exec(`INSERT INTO findings (id, fault_id, attendance_id, seq, at, by, kind, tree, "check", text, taken)
        VALUES ('x', 'fault', 'att', 9, '2026-03-02T08:00:00.000Z', 'ada', 'observation', 't', 'c', 'dark', '{}')`),
    ).toThrow('CHECK')
  })
})

describe('wet and dry readings of a position', () => {
  it('come newest first, without what was corrected, of this position alone', () => {
    const { storage, at } = makeFault()
    storage.findings.add(taken('first', dry))
    at('2026-03-02T08:10:00.000Z')
    storage.findings.add(taken('second', wet))
    at('2026-03-02T08:20:00.000Z')
    storage.findings.add(taken('third', wet, { replaces: 'second', reason: 'misread' }))
    storage.findings.add(taken('plain', null))
    const listed = storage.wetAndDry.listByPosition('p1', 10)
    expect(listed.map(one => [one.wetOrDry, one.at.slice(11, 16)])).toEqual([
      ['wet', '08:20'],
      ['dry', '08:00'],
    ])
    expect(listed[0]?.reading).toMatchObject({ value: 96.4 })
    expect(storage.wetAndDry.listByPosition('p2', 10)).toEqual([])
  })
})

describe('what blew a fuse', () => {
  it('comes back with the repair, and only a replaced fuse may have it', () => {
    const { storage } = makeFault()
    storage.repairs.add(repair)
    storage.repairs.add({ ...repair, id: 'other', action: 'other', fuse: null })
    const [first, second] = storage.faults.get('fault').repairs
    expect(first).toMatchObject({ fuse })
    expect(second).not.toHaveProperty('fuse')
    expect(() => storage.repairs.add({ ...repair, id: 'wrong', action: 'other' })).toThrow('CHECK')
  })
})

describe('the tones in use', () => {
  it('are each told once for a value and a direction', () => {
    const { storage } = makeRailway()
    for (const [id, direction, tone] of [
      ['p1', 'normal', '64.25'],
      ['p2', 'normal', '64.25'],
      ['p3', 'opposite', '64.75'],
    ] as const) {
      storage.positions.setFact(id, 'direction', direction)
      storage.positions.setFact(id, 'arming tone', tone)
    }
    expect(storage.tonesInUse.list('loop-transmitter', ['arming tone'], 'direction')).toEqual([
      { fact: 'arming tone', value: '64.25', direction: 'normal' },
      { fact: 'arming tone', value: '64.75', direction: 'opposite' },
    ])
    expect(storage.tonesInUse.list('another', ['arming tone'], 'direction')).toEqual([])
  })
})

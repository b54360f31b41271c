import { beforeEach, describe, expect, it } from 'vitest'
import type { NewProof } from '../../../server/storage/storage.ts'
import {
  attendance,
  fault,
  type Made,
  makeFault,
  mine,
  observation,
  reading,
  START,
  swapRepair,
} from '../make.ts'

let made: Made
beforeEach(() => {
  made = makeFault()
})

const closure = {
  ...mine,
  ...{
    id: 'end',
    outcome: 'proven cause' as const,
    cause: 'a/b',
    clearedItself: false,
    changed: 'lead',
    words: 'ok',
  },
}
const signature = { id: 'sig', printedName: 'Ada Wren', meaning: 'I did this work' }

describe('the record of a fault', () => {
  it('gives back everything that was written, as it was written', () => {
    const { storage: s } = made
    const base = { ...mine, replaces: null, reason: null, note: null }
    const check = { tree: 't', check: 'c' }
    const findings = [
      reading,
      {
        ...reading,
        id: 'blank',
        reading: { kind: 'open' as const, unit: 'ohm' },
        range: null,
        chosenRow: 'above',
      },
      observation,
      { ...base, id: 'ct', kind: 'cannot tell' as const, check, chosenRow: 'otherwise' },
      {
        ...base,
        id: 'dep',
        kind: 'departure' as const,
        from: 't#c',
        to: check,
        suggested: true,
        reason: 'smell',
      },
      { ...base, id: 'rej', kind: 'rejection' as const, cause: 'a/b', mended: true },
    ]
    for (const finding of findings) s.findings.add(finding)
    const proof = { ...mine, cause: 'a/b', passed: true, round: 1 }
    const { text, reading: value, range, verdict } = reading as Extract<typeof reading, { kind: 'reading' }>
    const proofs: NewProof[] = [
      {
        ...proof,
        id: 'p1',
        kind: 'reading',
        check,
        text,
        reading: value,
        range,
        verdict,
        instrument: 'm',
        reason: 'r',
      },
      { ...proof, id: 'p2', kind: 'observation', check, word: 'lit', reason: null },
      { ...proof, id: 'p3', kind: 'symptom', word: 'cannot tell', passed: false },
    ]
    for (const each of proofs) s.proofs.add(each)
    s.disturbances.add({ ...mine, id: 'd', item: 'strap' })
    s.restorations.add({ ...mine, id: 'r', itemKey: 'item:d', how: 'restored', note: 'tight' })
    s.identities.add({ ...mine, id: 'i', typed: 'AB12', matched: false })
    s.holdReleases.add({ id: 'h', faultId: 'fault', by: 'eve', reason: 'photographed' })
    s.repairs.add(swapRepair)
    s.closures.add(closure, signature)

    const record = s.faults.get('fault')
    const ada = { attendanceId: 'att', by: 'ada', byName: 'Ada Wren', at: START }
    const stored = <T extends { faultId: string }>({ faultId: _, ...row }: T) => ({ ...row, ...ada })
    const { conditions, ...reported } = fault
    expect(record).toEqual({
      fault: { ...reported, number: 1 },
      conditions,
      attendances: [
        {
          ...attendance,
          personName: 'Ada Wren',
          startedAt: START,
          endedAt: START,
          endedHow: 'closed',
          endedWords: null,
        },
      ],
      findings: findings.map((finding, index) => ({ ...stored(finding), seq: index + 1 })),
      disturbances: [{ id: 'd', item: 'strap', ...ada }],
      restorations: [{ id: 'r', itemKey: 'item:d', how: 'restored', note: 'tight', ...ada }],
      repairs: [
        {
          ...stored(swapRepair),
          swap: {
            ...swapRepair.swap,
            override: { by: 'eve', byName: 'Eve Marsh', reason: 'only one in store' },
          },
        },
      ],
      proofs: proofs.map(stored),
      identities: [{ id: 'i', typed: 'AB12', matched: false, ...ada }],
      holdReleases: [{ id: 'h', by: 'eve', byName: 'Eve Marsh', at: START, reason: 'photographed' }],
      handovers: [],
      closure: { ...stored(closure), told: null },
      signatures: [
        {
          ...signature,
          at: START,
          by: 'ada',
          contentHash: expect.stringMatching(/^[0-9a-f]{64}$/),
          unseen: [],
        },
      ],
    })
  })

  it('keeps a reading’s number beside it for trends, and none where the meter gave none', () => {
    made.storage.findings.add(reading)
    made.storage.findings.add({
      ...reading,
      id: 'open',
      reading: { kind: 'open', unit: 'V AC' },
    } as typeof reading)
    const wandering = { kind: 'unstable', low: 92, high: 104, resolution: 1, unit: 'V AC' }
    made.storage.findings.add({ ...reading, id: 'wander', reading: wandering } as typeof reading)
    expect(made.db.prepare('SELECT value, unit FROM findings ORDER BY seq').all()).toEqual([
      { value: 96.4, unit: 'V AC' },
      { value: null, unit: 'V AC' },
      { value: 98, unit: 'V AC' },
    ])
  })

  it('is not found when there is none', () => {
    expect(() => made.storage.faults.get('?')).toThrow(expect.objectContaining({ code: 'not found' }))
    expect(() => made.storage.faults.summary('?')).toThrow(expect.objectContaining({ code: 'not found' }))
  })
})

describe('reporting a fault', () => {
  it('is done once, whatever order its conditions come in', () => {
    const conditions = [
      { name: 'weather', value: 'rain' },
      { name: 'train', value: 'passing' },
    ]
    expect(made.storage.faults.create({ ...fault, id: 'x', conditions })).toEqual({ repeated: false })
    expect(made.storage.faults.create({ ...fault, id: 'x', conditions: conditions.toReversed() })).toEqual({
      repeated: true,
    })
    expect(() => made.storage.faults.create({ ...fault, id: 'x', conditions: [] })).toThrow(/other content/)
    expect(() => made.storage.faults.create({ ...fault, id: 'x', symptom: 'other' })).toThrow(/other content/)
  })

  it('keeps times as UTC, whatever zone they were given in', () => {
    made.storage.faults.create({ ...fault, id: 'x', reportedAt: '2026-07-01T12:30+01:00' })
    expect(made.storage.faults.get('x').fault.reportedAt).toBe('2026-07-01T11:30:00.000Z')
  })

  it('writes nothing when the position, the edition or the person is unknown', () => {
    for (const wrong of [{ positionId: '?' }, { editionId: '?' }, { recordedBy: '?' }]) {
      expect(() => made.storage.faults.create({ ...fault, id: 'x', ...wrong })).toThrow(/FOREIGN KEY/)
      expect(() => made.storage.faults.get('x')).toThrow(/no such fault/)
    }
  })
})

describe('attending a fault', () => {
  it('is for one person at a time', () => {
    const bens = { ...attendance, id: 'att2', personId: 'ben' }
    expect(() => made.storage.attendances.start(bens)).toThrow(/Ada Wren has this fault in hand/)
    made.storage.attendances.end('att', 'taken over', undefined, 'she went home')
    made.storage.attendances.start(bens)
    expect(made.storage.attendances.openOf('fault')).toMatchObject({ id: 'att2', personName: 'Ben Holt' })
    expect(
      made.storage.faults.get('fault').attendances.map(({ endedHow, endedWords }) => [endedHow, endedWords]),
    ).toEqual([
      ['taken over', 'she went home'],
      [null, null],
    ])
  })

  it('begins once and ends once', () => {
    expect(made.storage.attendances.start(attendance)).toEqual({ repeated: true })
    expect(() => made.storage.attendances.start({ ...attendance, spokenTo: 'nobody' })).toThrow(
      /other content/,
    )
    expect(made.storage.attendances.end('att', 'taken over')).toEqual({ repeated: false })
    expect(made.storage.attendances.end('att', 'taken over')).toEqual({ repeated: true })
    expect(() => made.storage.attendances.end('att', 'closed')).toThrow(
      expect.objectContaining({ code: 'conflict' }),
    )
    expect(made.storage.attendances.openOf('fault')).toBeNull()
  })

  it('is over when the fault is closed', () => {
    made.storage.closures.add(closure, signature)
    expect(() => made.storage.attendances.start({ ...attendance, id: 'att2' })).toThrow(/closed/)
  })
})

describe('closing', () => {
  it('is all or nothing: a signature that can’t be written leaves the fault open', () => {
    const unsigned = { ...signature, meaning: null } as never
    expect(() => made.storage.closures.add(closure, unsigned)).toThrow(/NOT NULL/)
    const record = made.storage.faults.get('fault')
    expect(record.closure).toBeNull()
    expect(record.signatures).toEqual([])
    expect(record.attendances[0]?.endedAt).toBeNull()
  })
})

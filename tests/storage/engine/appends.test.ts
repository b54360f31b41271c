import { beforeEach, describe, expect, it } from 'vitest'
import type { NewProof, Storage } from '../../../server/storage/storage.ts'
import { attendance, fault, type Made, makeFault, mine, observation, reading, swapRepair } from '../make.ts'

const proof: NewProof = {
  ...mine,
  ...{
    id: 'proof',
    kind: 'symptom',
    cause: 'loop-transmitter/module-dead',
    passed: true,
    round: 0,
    word: 'gone',
  },
}
const closure = {
  ...mine,
  ...{
    id: 'end',
    outcome: 'proven cause' as const,
    cause: 'loop-transmitter/module-dead',
    clearedItself: false,
  },
  ...{ changed: 'module', words: '' },
}
const signature = { id: 'sig', printedName: 'Ada Wren', meaning: 'I did this work' }

/** Every kind of entry of an attendance: how it is written, and the same id with other content. */
const entries: [string, (s: Storage, by?: object) => unknown, (s: Storage) => unknown][] = [
  [
    'reading',
    (s, by) => s.findings.add({ ...reading, ...by }),
    s => s.findings.add({ ...reading, text: '97' } as never),
  ],
  [
    'observation',
    (s, by) => s.findings.add({ ...observation, ...by }),
    s => s.findings.add({ ...observation, note: 'x' }),
  ],
  [
    'departure',
    (s, by) => s.findings.add({ ...observation, ...departure, ...by } as never),
    s => s.findings.add({ ...observation, ...departure, suggested: true } as never),
  ],
  [
    'rejection',
    (s, by) => s.findings.add({ ...observation, ...rejection, ...by } as never),
    s => s.findings.add({ ...observation, ...rejection, mended: true } as never),
  ],
  [
    'disturbance',
    (s, by) => s.disturbances.add({ ...mine, id: 'd', item: 'strap', ...by }),
    s => s.disturbances.add({ ...mine, id: 'd', item: 'link' }),
  ],
  [
    'restoration',
    (s, by) =>
      s.restorations.add({ ...mine, id: 'r', itemKey: 'item:d', how: 'restored', note: null, ...by }),
    s => s.restorations.add({ ...mine, id: 'r', itemKey: 'item:d', how: 'never disturbed', note: null }),
  ],
  [
    'repair',
    (s, by) => s.repairs.add({ ...swapRepair, ...by }),
    s => s.repairs.add({ ...swapRepair, words: 'other' }),
  ],
  ['proof', (s, by) => s.proofs.add({ ...proof, ...by }), s => s.proofs.add({ ...proof, passed: false })],
  [
    'identity check',
    (s, by) => s.identities.add({ ...mine, id: 'i', typed: 'AB11', matched: true, ...by }),
    s => s.identities.add({ ...mine, id: 'i', typed: 'AB12', matched: false }),
  ],
  [
    'handover',
    (s, by) => s.handovers.add({ ...mine, id: 'h', nextStep: 'a', words: 'b', items: [item], ...by }),
    s => s.handovers.add({ ...mine, id: 'h', nextStep: 'a', words: 'b', items: [{ ...item, text: 'c' }] }),
  ],
  [
    'closure',
    (s, by) => s.closures.add({ ...closure, ...by }, signature),
    s => s.closures.add({ ...closure, words: 'more' }, signature),
  ],
]
const departure = {
  id: 'dep',
  kind: 'departure',
  from: 'supply',
  to: { tree: 't', check: 'c' },
  suggested: false,
}
const rejection = { id: 'rej', kind: 'rejection', cause: 'a/b', mended: false }
const item = { key: 'k', text: 'strap on' }

let made: Made
beforeEach(() => {
  made = makeFault()
})

describe.each(entries)('a %s', (_, write, rewrite) => {
  it('is written once, however often it is sent, whatever the clock says by then', () => {
    expect(write(made.storage)).toEqual({ repeated: false })
    const before = made.storage.faults.get('fault')
    made.at('2026-03-02T09:00:00.000Z')
    expect(write(made.storage)).toEqual({ repeated: true })
    expect(made.storage.faults.get('fault')).toEqual(before)
  })

  it('is a conflict when its id comes again with other content', () => {
    write(made.storage)
    const before = made.storage.faults.get('fault')
    expect(() => rewrite(made.storage)).toThrow(expect.objectContaining({ code: 'conflict' }))
    expect(made.storage.faults.get('fault')).toEqual(before)
  })

  it('is refused from somebody who has not the fault in hand', () => {
    expect(() => write(made.storage, { by: 'ben' })).toThrow(expect.objectContaining({ code: 'conflict' }))
  })

  it('is refused when the attendance has ended', () => {
    made.storage.attendances.end('att', 'taken over')
    expect(() => write(made.storage)).toThrow(/taken over/)
  })

  it('is refused when the fault is closed', () => {
    made.storage.closures.add({ ...closure, id: 'earlier' }, { ...signature, id: 'earlier' })
    expect(() => write(made.storage)).toThrow(/closed/)
  })

  it('is refused in an attendance of another fault, and in one nobody knows', () => {
    made.storage.faults.create({ ...fault, id: 'other' })
    expect(() => write(made.storage, { faultId: 'other' })).toThrow(
      expect.objectContaining({ code: 'conflict' }),
    )
    expect(() => write(made.storage, { attendanceId: '?' })).toThrow(
      expect.objectContaining({ code: 'not found' }),
    )
  })
})

describe('the order of arrival', () => {
  it('is kept within a fault when two faults are written in turn', () => {
    made.storage.faults.create({ ...fault, id: 'other', positionId: 'p3' })
    made.storage.attendances.start({ ...attendance, id: 'att2', faultId: 'other', personId: 'ben' })
    const theirs = { faultId: 'other', attendanceId: 'att2', by: 'ben' }
    for (let i = 1; i <= 5; i++) {
      made.storage.findings.add({ ...observation, id: `z${9 - i}` })
      made.storage.findings.add({ ...observation, ...theirs, id: `y${9 - i}` })
    }
    for (const [id, first] of Object.entries({ fault: 'z8', other: 'y8' })) {
      const { findings } = made.storage.faults.get(id)
      expect(findings.map(({ seq }) => seq)).toEqual([1, 2, 3, 4, 5])
      expect(findings[0]?.id).toBe(first)
    }
  })

  it('is kept for entries written in the same moment', () => {
    const ids = ['m', 'c', 'z', 'a']
    for (const id of ids) made.storage.proofs.add({ ...proof, id })
    expect(made.storage.faults.get('fault').proofs.map(({ id }) => id)).toEqual(ids)
  })
})

describe('a correction', () => {
  it('keeps the finding it replaces', () => {
    made.storage.findings.add(reading)
    made.storage.findings.add({ ...reading, id: 'again', replaces: 'reading', reason: 'misread' })
    const { findings } = made.storage.faults.get('fault')
    expect(findings.map(({ id, replaces }) => [id, replaces])).toEqual([
      ['reading', null],
      ['again', 'reading'],
    ])
  })

  it('is refused a second time, and of a finding of another fault', () => {
    made.storage.findings.add(reading)
    made.storage.findings.add({ ...reading, id: 'again', replaces: 'reading' })
    expect(() => made.storage.findings.add({ ...reading, id: 'third', replaces: 'reading' })).toThrow(
      /corrected already/,
    )
    expect(() => made.storage.findings.add({ ...reading, id: 'fourth', replaces: 'unknown' })).toThrow(
      /not one of/,
    )
  })
})

it('refuses a time that is none', () => {
  expect(() => made.storage.findings.add({ ...reading, at: 'yesterday' })).toThrow(
    expect.objectContaining({ code: 'invalid' }),
  )
})

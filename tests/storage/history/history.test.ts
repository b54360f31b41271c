import { describe, expect, it } from 'vitest'
import { attendance, fault, makeFault, mine, reading, swapRepair } from '../make.ts'

const day = 86_400_000
const at = Date.parse('2026-03-02T07:00:00.000Z')
const window = { fromMs: at - 400 * day, toMs: at + 400 * day }

function withFaults() {
  const made = makeFault()
  const more = ['2026-03-09T07:00:00.000Z', '2026-03-02T09:30:00.250Z', '2026-05-01T00:00:00.000Z']
  more.forEach((reportedAt, i) => {
    const tree = i === 2 ? 'weak' : fault.tree
    made.storage.faults.create({ ...fault, id: `more${i}`, tree, reportedAt, conditions: [] })
  })
  return made
}

describe('the columns of the history', () => {
  it('are the same by family and one by one, in order of time', () => {
    const { history } = withFaults().storage
    const rows = [...history.faults(window)]
    expect(rows.map(row => row.id)).toEqual(['fault', 'more1', 'more0', 'more2'])
    expect(rows.map(row => row.atMs)).toEqual(rows.map(row => row.atMs).toSorted((a, b) => a - b))
    const families = [...history.families(window)]
    expect(families.map(({ family, timesMs }) => [family, timesMs.length])).toEqual([
      ['output-dead', 3],
      ['weak', 1],
    ])
    expect(families[0]?.timesMs[1]).toBe(Date.parse('2026-03-02T09:30:00.000Z'))
    expect(history.faultSources().map(one => [one.source, one.firstMs])).toEqual([['here', at]])
  })

  it('hold no fault outside the window, and the window holds its first moment but not its last', () => {
    const { history } = withFaults().storage
    const some = { fromMs: at, toMs: Date.parse('2026-03-09T07:00:00.000Z') }
    expect([...history.faults(some)].map(row => row.id)).toEqual(['fault', 'more1'])
    expect([...history.faults({ fromMs: at + 1, toMs: at + 2 })]).toEqual([])
  })

  it('carry closures, repairs, attendances and the moments of findings and proofs', () => {
    const { storage } = makeFault()
    storage.findings.add(reading)
    storage.repairs.add({ ...swapRepair, swap: null, action: 'adjusted' })
    storage.proofs.add({
      ...mine,
      id: 'p',
      kind: 'symptom',
      cause: 'a/b',
      passed: true,
      round: 0,
      word: 'gone',
    })
    const { history } = storage
    expect([...history.repairs(window)]).toMatchObject([{ faultId: 'fault', action: 'adjusted' }])
    expect([...history.attendances(window)]).toMatchObject([{ faultId: 'fault', toMs: null }])
    expect([...history.findingTimes(window)].length).toBe(1)
    expect([...history.proofTimes(window)].length).toBe(1)
    expect([...history.closures(window)]).toEqual([])
  })
})

describe('stays of units', () => {
  it('say for which symptom a unit was taken out, and what the workshop found', () => {
    const { storage, at: setClock } = makeFault()
    storage.repairs.add(swapRepair)
    const before = storage.history.stays().find(stay => stay.unitId === 'u1')
    expect(before).toMatchObject({ positionId: 'p1', removedFor: 'output-dead', workshop: 'not known' })
    setClock('2026-03-20T00:00:00.000Z')
    storage.workshopVisits.add({ id: 'w', unitId: 'u1', by: 'eve', result: 'tested good', words: '' })
    expect(storage.history.stays().find(stay => stay.unitId === 'u1')?.workshop).toBe('tested good')
    const now = storage.history.stays().find(stay => stay.removedMs === null)
    expect(now).toMatchObject({ positionId: 'p1', removedFor: null, workshop: null })
    expect(storage.history.unitNames(['u1']).get('u1')).toBe('transmitter module T100')
  })
})

describe('readings of a check', () => {
  it('keep the limit as it was, and lose a reading that was corrected', () => {
    const { storage } = makeFault()
    storage.findings.add(reading)
    const [first] = storage.history.readings.ofPosition('p1', 0)
    expect(first).toMatchObject({ tree: 'output-dead', check: 'supply', unit: 'V AC' })
    expect(first?.readings).toMatchObject([{ value: 96.4, min: 99, max: 121 }])
    const read = reading as Extract<typeof reading, { kind: 'reading' }>
    const better = { ...read, id: 'better', text: '101', replaces: 'reading', reason: 'misread' }
    storage.findings.add({ ...better, reading: { kind: 'value', value: 101, resolution: 1, unit: 'V AC' } })
    const [now] = storage.history.readings.ofPosition('p1', 0)
    expect(now?.readings.map(one => one.value)).toEqual([101])
    expect(storage.history.readings.numbers(0)[0]?.readings).toEqual([{ value: 101, resolution: 1 }])
  })

  it('are cut where the check was read again to prove a repair', () => {
    const { storage, at: setClock } = makeFault()
    storage.findings.add(reading)
    storage.repairs.add({ ...swapRepair, swap: null, action: 'adjusted' })
    const {
      check,
      text,
      reading: read,
      range,
      verdict,
      instrument,
    } = reading as Extract<typeof reading, { kind: 'reading' }>
    setClock('2026-03-02T09:00:00.000Z')
    const proof = {
      ...mine,
      id: 'p',
      kind: 'reading' as const,
      cause: 'a/b',
      passed: true,
      round: 0,
      reason: null,
    }
    storage.proofs.add({ ...proof, check, text, reading: read, range, verdict, instrument })
    expect(storage.history.readings.ofPosition('p1', 0)[0]?.breaks).toMatchObject([{ words: 'adjusted' }])
    const [short] = storage.history.readings.short(0)
    expect(short?.segments.at(-1)).toEqual([96.4])
    expect([...storage.history.readings.all(0)]).toHaveLength(1)
  })
})

describe('reviews', () => {
  const state = { owner: 'eve', cause: '', action: '', due: null, doneOn: null, result: '', closed: false }

  it('stand as their newest entry says, the soonest due first', () => {
    const { reviews } = makeFault().storage
    reviews.open({ id: 'a', positionId: 'p1', by: 'eve', why: 'third in a year', ...state })
    reviews.open({ id: 'b', positionId: 'p2', by: 'eve', why: 'again', ...state, due: '2026-04-01' })
    expect(reviews.listOpen().map(one => one.reviewId)).toEqual(['b', 'a'])
    reviews.add({ id: 'a2', reviewId: 'a', by: 'ada', ...state, action: 'clean it', due: '2026-03-15' })
    expect(reviews.get('a')).toMatchObject({
      action: 'clean it',
      due: '2026-03-15',
      byName: 'Ada Wren',
      why: 'third in a year',
    })
    expect(reviews.listOpen().map(one => one.reviewId)).toEqual(['a', 'b'])
    expect(reviews.entries('a').map(one => one.id)).toEqual(['a', 'a2'])
  })

  it('are written once, and not after they are closed', () => {
    const { reviews } = makeFault().storage
    const first = { id: 'a', positionId: 'p1', by: 'eve', why: 'third in a year', ...state }
    expect(reviews.open(first)).toEqual({ repeated: false })
    expect(reviews.open(first)).toEqual({ repeated: true })
    expect(() => reviews.open({ ...first, why: 'other' })).toThrow(/other content/)
    const close = { id: 'c', reviewId: 'a', by: 'eve', ...state, result: 'gone', closed: true }
    reviews.add(close)
    expect(reviews.add(close)).toEqual({ repeated: true })
    expect(() => reviews.add({ ...close, id: 'd' })).toThrow(/closed/)
    expect(() => reviews.get('nobody')).toThrow(/no such review/)
  })
})

describe('what is told later', () => {
  it('counts the newest delay of a fault, and the starting rules until a depot sets its own', () => {
    const { storage } = makeFault()
    expect(storage.delays.find('fault')).toBeNull()
    storage.delays.add({ id: 'd1', faultId: 'fault', by: 'eve', minutes: 30 })
    storage.delays.add({ id: 'd2', faultId: 'fault', by: 'eve', minutes: 12 })
    expect(storage.delays.find('fault')).toBe(12)
    expect(storage.history.delays()).toEqual(new Map([['fault', 12]]))
    expect(storage.reviewSettings.repeatWindows().length).toBe(3)
    const rule = { name: 'twice', days: 7, faults: 2 }
    storage.reviewSettings.setRepeatWindows([rule])
    expect(storage.reviewSettings.repeatWindows()).toEqual([rule])
  })

  it('knows when a position was last seen working', () => {
    const { storage } = makeFault()
    expect(storage.history.ofPosition.lastHealthy(['p1', 'p2'])).toEqual(new Map())
    const close = {
      ...mine,
      id: 'end',
      outcome: 'not reproduced' as const,
      cause: null,
      clearedItself: false,
    }
    storage.closures.add(
      { ...close, changed: '', words: '' },
      { id: 's', printedName: 'Ada Wren', meaning: 'done' },
    )
    expect([...storage.history.ofPosition.lastHealthy(['p1', 'p2']).keys()]).toEqual(['p1'])
    expect(attendance.id).toBe('att')
  })
})

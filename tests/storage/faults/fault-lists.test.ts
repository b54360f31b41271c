import { beforeEach, describe, expect, it } from 'vitest'
import { attendance, fault, type Made, makeFault, mine, observation, reading } from '../make.ts'

let made: Made
beforeEach(() => {
  made = makeFault()
})

const report = (id: string, positionId: string, reportedAt: string) =>
  made.storage.faults.create({ ...fault, id, positionId, reportedAt })
const ids = (faults: { id: string }[]) => faults.map(({ id }) => id)

/** Attends and closes a fault. */
function close(id: string, closure: object = {}): void {
  made.storage.attendances.end('att', 'taken over')
  made.storage.attendances.start({ ...attendance, id: `att ${id}`, faultId: id, personId: 'ben' })
  const entry = { id: `end ${id}`, faultId: id, attendanceId: `att ${id}`, by: 'ben', changed: '', words: '' }
  const signature = { id: `sig ${id}`, printedName: 'Ben Holt', meaning: 'done' }
  const usual = { outcome: 'proven cause' as const, cause: 'a/b', clearedItself: false }
  made.storage.closures.add({ ...entry, ...usual, ...closure }, signature)
}

describe('a fault in a list', () => {
  it('says where, what, who, how long and what was found last', () => {
    made.storage.findings.add(reading)
    made.storage.findings.add(observation)
    made.at('2026-03-02T09:30:00.000Z')
    expect(made.storage.faults.listOpen()).toEqual([
      {
        ...{
          id: 'fault',
          number: 1,
          positionId: 'p1',
          positionName: 'Signal 11',
          siteId: 's1',
          siteName: 'Alderwick Bank',
        },
        ...{ equipment: 'loop-transmitter', tree: 'output-dead', symptom: 'lamp dark', protection: 'kept' },
        ...{ reportedAt: fault.reportedAt, attendedBy: 'Ada Wren', attendedById: 'ada', closedAt: null },
        ...{
          outcome: null,
          cause: null,
          clearedItself: false,
          changed: null,
          minutes: 90,
          people: ['Ada Wren'],
        },
        ...{ lastFinding: 'dark', lastFindingCheck: { tree: 'output-dead', check: 'lamp' } },
        ...{ lastFindingAt: '2026-03-02T08:00:00.000Z', earlierInWindow: 0 },
      },
    ])
  })

  it('counts the minutes of every attendance, and names each person once', () => {
    made.at('2026-03-02T08:40:00.000Z')
    made.storage.attendances.end('att', 'taken over')
    made.storage.attendances.start({
      ...attendance,
      id: 'a2',
      personId: 'ben',
      startedAt: '2026-03-02T10:00:00Z',
    })
    made.storage.attendances.end('a2', 'taken over', '2026-03-02T10:05:00Z')
    made.storage.attendances.start({ ...attendance, id: 'a3', startedAt: '2026-03-02T11:00:00Z' })
    made.storage.attendances.end('a3', 'taken over', '2026-03-02T11:01:00Z')
    expect(made.storage.faults.summary('fault')).toMatchObject({
      ...{ minutes: 46, people: ['Ada Wren', 'Ben Holt'], attendedBy: null, lastFinding: null },
    })
  })

  it.each([
    [
      'cannot tell',
      { kind: 'cannot tell', check: { tree: 't', check: 'c' }, chosenRow: null },
      { tree: 't', check: 'c' },
    ],
    [
      'another check chosen',
      { kind: 'departure', from: 't#c', to: { tree: 't', check: 'd' }, suggested: false },
      { tree: 't', check: 'd' },
    ],
    ['a cause ruled out', { kind: 'rejection', cause: 'a/b', mended: false }, null],
  ])('says the last finding in words: %s', (words, finding, check) => {
    made.storage.findings.add({
      ...mine,
      id: 'x',
      replaces: null,
      reason: null,
      note: null,
      ...finding,
    } as never)
    expect(made.storage.faults.summary('fault')).toMatchObject({
      lastFinding: words,
      lastFindingCheck: check,
    })
  })
})

describe('the lists', () => {
  beforeEach(() => {
    report('old', 'p1', '2025-12-20T00:00:00.000Z')
    report('elsewhere', 'p3', '2026-03-01T00:00:00.000Z')
    report('beside', 'p2', '2026-02-01T00:00:00.000Z')
  })

  it('give open faults, oldest first', () => {
    close('beside')
    expect(ids(made.storage.faults.listOpen())).toEqual(['old', 'elsewhere', 'fault'])
  })

  it('give the faults a person has in hand', () => {
    expect(ids(made.storage.faults.listOpenOf('ada'))).toEqual(['fault'])
    expect(ids(made.storage.faults.listOpenOf('ben'))).toEqual([])
    made.storage.attendances.end('att', 'taken over')
    expect(ids(made.storage.faults.listOpenOf('ada'))).toEqual([])
  })

  it('give the faults of a position, of a site, and of all, newest first, as many as wanted', () => {
    const { faults } = made.storage
    expect(ids(faults.listByPosition('p1'))).toEqual(['fault', 'old'])
    expect(ids(faults.listByPosition('p1', 1))).toEqual(['fault'])
    expect(ids(faults.listBySite('s1'))).toEqual(['fault', 'beside', 'old'])
    expect(ids(faults.listBySite('s1', 2))).toEqual(['fault', 'beside'])
    expect(ids(faults.listRecent(3))).toEqual(['fault', 'elsewhere', 'beside'])
  })

  it('keep a fault that cleared itself or was not reproduced until an engineer settles it', () => {
    close('old', { outcome: 'not reproduced', cause: null })
    close('beside', { outcome: 'not completed', cause: null, clearedItself: true })
    close('elsewhere')
    const { faults, engineerNotes } = made.storage
    expect(ids(faults.listUnsettled())).toEqual(['beside', 'old'])
    engineerNotes.add({ id: 'n1', faultId: 'old', by: 'eve', words: 'look again in the wet', settled: false })
    expect(ids(faults.listUnsettled())).toEqual(['beside', 'old'])
    engineerNotes.add({ id: 'n2', faultId: 'old', by: 'eve', words: 'joint remade', settled: true })
    expect(ids(faults.listUnsettled())).toEqual(['beside'])
    expect(
      engineerNotes.listByFault('old').map(({ words, byName, settled }) => [words, byName, settled]),
    ).toEqual([
      ['look again in the wet', 'Eve Marsh', false],
      ['joint remade', 'Eve Marsh', true],
    ])
  })
})

describe('a repeat fault', () => {
  const daysBefore = (days: number, ms = 0) =>
    new Date(Date.parse(fault.reportedAt) - days * 86_400_000 + ms).toISOString()
  const earlier = () => made.storage.faults.summary('fault').earlierInWindow

  it('is one within the window, its last day included, at the same position', () => {
    report('just outside', 'p1', daysBefore(90, -1))
    report('beside', 'p2', daysBefore(1))
    report('later', 'p1', daysBefore(-1))
    expect(earlier()).toBe(0)
    report('just inside', 'p1', daysBefore(90))
    report('recent', 'p1', daysBefore(1))
    expect(earlier()).toBe(2)
    expect(made.storage.faults.countEarlier('p1', fault.reportedAt, 90)).toBe(2)
    expect(made.storage.faults.countEarlier('p1', fault.reportedAt, 91)).toBe(3)
    expect(made.storage.faults.countEarlier('p1', fault.reportedAt, 30)).toBe(1)
  })

  it('is counted at its site', () => {
    report('recent', 'p1', daysBefore(10))
    report('lone', 'p2', daysBefore(10))
    report('last year', 'p3', daysBefore(500))
    close('recent')
    const site = { line: 'Main', mileage: '12 m 40 ch', access: 'gate' }
    expect(made.storage.sites.list()).toEqual([
      {
        ...site,
        id: 's1',
        name: 'Alderwick Bank',
        positions: 2,
        openFaults: 2,
        faultsInYear: 3,
        repeatPositions: 1,
      },
      {
        ...{ id: 's2', name: 'Birch Cutting', line: 'Branch', mileage: '3 m', access: 'steps' },
        ...{ positions: 1, openFaults: 1, faultsInYear: 0, repeatPositions: 0 },
      },
    ])
  })
})

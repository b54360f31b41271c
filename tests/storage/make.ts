// A small railway to write to: two sites, three positions, two technicians and an engineer.

import type { Database } from '../../server/storage/engine/database.ts'
import {
  createStorage,
  type NewAttendance,
  type NewFault,
  type NewFinding,
  type NewHandover,
  type NewRepair,
  type Storage,
} from '../../server/storage/storage.ts'
import { migratedDatabase } from '../support/migrated.ts'

export interface Made {
  db: Database
  storage: Storage
  /** Sets the clock. */
  at(time: string): void
}

export const START = '2026-03-02T08:00:00.000Z'

export function makeStorage(path?: string, repeatWindowDays = 90): Made {
  return storageOver(migratedDatabase(START, path), repeatWindowDays)
}

/** The storage of a database that has its tables; its clock stands at START. */
export function storageOver(db: Database, repeatWindowDays = 90): Made {
  let now = new Date(START)
  const clock = () => now
  const storage = createStorage(db, clock, { repeatWindowDays })
  const at = (time: string) => {
    now = new Date(time)
  }
  return { db, storage, at }
}

/** With people, an edition and the railway; nothing reported yet. */
export function makeRailway(path?: string): Made {
  const made = makeStorage(path)
  const { people, editions, sites, positions, units } = made.storage
  people.create({ id: 'ada', name: 'Ada Wren', role: 'technician', pinHash: 'x' })
  people.create({ id: 'ben', name: 'Ben Holt', role: 'technician', pinHash: 'x' })
  people.create({ id: 'eve', name: 'Eve Marsh', role: 'engineer', pinHash: 'x' })
  editions.create({
    id: 'e1',
    files: [{ path: 'trees/a.md', text: '# A', sha256: 'f' }],
    publishedBy: null,
    note: '',
  })
  sites.create({ id: 's1', name: 'Alderwick Bank', line: 'Main', mileage: '12 m 40 ch', access: 'gate' })
  sites.create({ id: 's2', name: 'Birch Cutting', line: 'Branch', mileage: '3 m', access: 'steps' })
  const position = {
    equipment: 'loop-transmitter',
    indicated: false,
    inService: '2020-01-01',
    outOfService: null,
  }
  const facts = { 'cable length': '80 m', direction: 'normal' }
  positions.create({ ...position, id: 'p1', siteId: 's1', name: 'Signal 11', plate: 'AB11', facts })
  positions.create({ ...position, id: 'p2', siteId: 's1', name: 'Signal 12', plate: 'AB12', facts: {} })
  positions.create({ ...position, id: 'p3', siteId: 's2', name: 'Signal 21', plate: 'BC21', facts: {} })
  units.create({ id: 'u1', kind: 'transmitter module', serial: 'T100', variant: 'normal' })
  units.fit({ id: 'f1', unitId: 'u1', positionId: 'p1', fittedAt: '2020-01-01T00:00:00.000Z' })
  return made
}

export const fault: NewFault = {
  ...{ id: 'fault', positionId: 'p1', tree: 'output-dead', editionId: 'e1', symptom: 'lamp dark' },
  ...{
    reportedAt: '2026-03-02T07:00:00.000Z',
    reportedBy: 'signaller',
    recordedBy: 'ada',
    noticed: 'lamp dark',
  },
  ...{ protection: 'kept', intermittent: true, conditions: [{ name: 'weather', value: 'rain' }] },
}

export const attendance: NewAttendance = {
  ...{ id: 'att', faultId: 'fault', personId: 'ada', seenHistoryAt: START, spokenTo: 'signaller' },
  ...{ protectionWords: 'line blocked', isolationWords: 'none', expectedFinish: null },
}

export const mine = { faultId: 'fault', attendanceId: 'att', by: 'ada' }

export const reading: NewFinding = {
  ...mine,
  ...{ id: 'reading', kind: 'reading', check: { tree: 'output-dead', check: 'supply' }, text: '96.4' },
  reading: { kind: 'value', value: 96.4, resolution: 0.1, unit: 'V AC' },
  range: {
    ...{ min: 99, max: 121, unit: 'V AC', text: '99 to 121 V AC', from: 'Demo value', demo: true },
    ...{ working: null, floor: null },
  },
  verdict: {
    ...{ side: 'below', zone: 'out', rule: 'simple', probability: null, uncertainty: null },
    ...{ because: '96.4 V is below 99 to 121 V', advice: null },
  },
  ...{ chosenRow: null, instrument: 'meter 4', replaces: null, reason: null, note: null },
}

export const observation: NewFinding = {
  ...mine,
  ...{ id: 'seen', kind: 'observation', check: { tree: 'output-dead', check: 'lamp' }, word: 'dark' },
  ...{ chosenRow: null, replaces: null, reason: null, note: null },
}

export const swapRepair: NewRepair = {
  ...mine,
  ...{ id: 'swap', cause: 'loop-transmitter/module-dead', action: 'unit replaced', words: 'changed it' },
  swap: {
    ...{
      kind: 'transmitter module',
      serialOut: 'T100',
      variantOut: 'normal',
      serialIn: 'T200',
      variantIn: 'normal',
    },
    settings: [{ name: 'tap', asFound: '2', asLeft: '2' }],
    override: { by: 'eve', reason: 'only one in store' },
  },
}

export const handover: NewHandover = {
  ...mine,
  ...{ id: 'ho', nextStep: 'Drive input', words: 'end of shift' },
  items: [
    { key: 'item:a', text: 'strap on S1' },
    { key: 'place', text: 'standing at Drive input' },
  ],
}

/** With a fault reported at Signal 11 and Ada attending it. */
export function makeFault(path?: string): Made {
  const made = makeRailway(path)
  made.storage.faults.create(fault)
  made.storage.attendances.start(attendance)
  return made
}

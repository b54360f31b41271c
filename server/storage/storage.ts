// Everything the program keeps, by subject. `find` gives null, `get` throws 'not found'.
// Each write carries an id chosen by the client: sending it again with the same content writes nothing and says so;
// the same id with other content is a 'conflict', and so is writing to a fault that is closed, or in an attendance
// that has ended or is another person's.

import type { Attendance, FaultRecord } from '../walk/record.ts'
import type { Database } from './database.ts'
import type {
  EditionFile,
  EditionRow,
  EngineerNote,
  FaultSummary,
  Fitting,
  NewAttendance,
  NewClosure,
  NewConfirmation,
  NewDisturbance,
  NewEngineerNote,
  NewFault,
  NewFinding,
  NewHandover,
  NewHoldRelease,
  NewIdentityCheck,
  NewPosition,
  NewProof,
  NewRepair,
  NewRestoration,
  NewSignature,
  Person,
  Position,
  Role,
  Session,
  Site,
  SiteSummary,
  Unit,
  Written,
} from './rows.ts'

export type * from './rows.ts'

export interface Storage {
  people: People
  sessions: Sessions
  setupCodes: SetupCodes
  editions: Editions
  sites: Sites
  positions: Positions
  units: Units
  faults: Faults
  attendances: Attendances
  findings: Appends<NewFinding>
  disturbances: Appends<NewDisturbance>
  restorations: Appends<NewRestoration>
  /** A swap also moves the fittings: old unit out, new unit (made when its serial is unknown) in. */
  repairs: Appends<NewRepair>
  proofs: Appends<NewProof>
  identities: Appends<NewIdentityCheck>
  holdReleases: Appends<NewHoldRelease>
  handovers: Handovers
  closures: Closures
  engineerNotes: EngineerNotes
  /** All or nothing; `fn` must not be async. Calls may nest. */
  transaction<T>(fn: () => T): T
}

export interface Appends<N> {
  add(made: N): Written
}

export interface People {
  find(id: string): Person | null
  /** Whatever the capitals. */
  findByName(name: string): Person | null
  /** By name, those no longer active too. */
  list(): Person[]
  count(): number
  /** 'conflict' when the name is taken. */
  create(person: { id: string; name: string; role: Role; pinHash: string }): Written
  update(id: string, change: { role?: Role; pinHash?: string; active?: boolean }): Person
}

export interface Sessions {
  create(session: { tokenHash: string; personId: string }): void
  /** null when unknown or ended. */
  find(tokenHash: string): Session | null
  touch(tokenHash: string): void
  end(tokenHash: string): void
  endAllOf(personId: string): void
}

export interface SetupCodes {
  create(codeHash: string): void
  isOpen(codeHash: string): boolean
  /** false when it was used before or never given out. */
  use(codeHash: string): boolean
}

export interface Editions {
  newest(): EditionRow | null
  get(id: string): EditionRow
  /** Newest first. */
  list(): EditionRow[]
  create(edition: {
    id: string
    files: EditionFile[]
    publishedBy: string | null
    note: string
    at?: string
  }): Written
  /** By path. */
  files(id: string): EditionFile[]
}

export interface Sites {
  /** By name. `search` looks in name, line and mileage, and in the names and plates of the positions. */
  list(which?: { search?: string; limit?: number; offset?: number }): SiteSummary[]
  get(id: string): Site
  create(site: Site): Written
}

export interface Positions {
  get(id: string): Position
  listBySite(siteId: string): Position[]
  /** In name, plate and site name. */
  search(text: string, limit: number): Position[]
  /** The others at the same site: the mistake to rule out when a plate is read. */
  neighbours(id: string): Position[]
  create(position: NewPosition): Written
  setFact(id: string, fact: string, value: string): void
}

export interface Units {
  find(id: string): Unit | null
  findBySerial(kind: string, serial: string): Unit | null
  create(unit: Unit): Written
  /** 'conflict' when the unit is fitted elsewhere. */
  fit(fitting: { id: string; unitId: string; positionId: string; fittedAt: string }): Written
  /** Nothing happens when it isn't fitted anywhere. */
  remove(unitId: string, removedAt: string): void
  /** Newest first. */
  historyOfPosition(positionId: string): Fitting[]
  historyOfUnit(unitId: string): Fitting[]
}

/** Lists are newest report first; open ones oldest first. */
export interface Faults {
  create(fault: NewFault): Written
  get(id: string): FaultRecord
  summary(id: string): FaultSummary
  listOpen(): FaultSummary[]
  /** Those the person has in hand. */
  listOpenOf(personId: string): FaultSummary[]
  listByPosition(positionId: string, limit?: number): FaultSummary[]
  listBySite(siteId: string, limit?: number): FaultSummary[]
  /** Closed as cleared itself or not reproduced, and no engineer's note has settled it. */
  listUnsettled(): FaultSummary[]
  listRecent(limit: number): FaultSummary[]
  /** Faults at the position in the `windowDays` before `reportedAt`. */
  countEarlier(positionId: string, reportedAt: string, windowDays: number): number
}

export interface Attendances {
  /** 'conflict' when somebody has the fault in hand or it is closed. */
  start(attendance: NewAttendance): Written
  end(id: string, how: 'closed' | 'handed over' | 'taken over', at?: string): Written
  openOf(faultId: string): Attendance | null
}

export interface Handovers {
  add(handover: NewHandover): Written
  /** By anyone but the person handing over. */
  confirm(confirmation: NewConfirmation): Written
  /**
   * Ends the attendance handed over and starts the new one. 'conflict' unless every item is confirmed by the person
   * accepting, and when there is a newer handover.
   */
  accept(acceptance: { handoverId: string; attendance: NewAttendance }): Written
}

export interface Closures {
  /** Also ends the attendance. */
  add(closure: NewClosure, signature: NewSignature): Written
}

export interface EngineerNotes {
  add(note: NewEngineerNote): Written
  /** Oldest first. */
  listByFault(faultId: string): EngineerNote[]
}

/** `repeatWindowDays`: how long after one fault another at the same position is a repeat. */
export declare function createStorage(
  db: Database,
  clock: () => Date,
  settings?: { repeatWindowDays: number },
): Storage

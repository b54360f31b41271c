// What storage takes and gives. Times are UTC ISO 8601 text; `by` and every `…Id` is an id, never a name.

import type { CheckRef } from '../knowledge/types.ts'
import type {
  Attendance,
  Closure,
  ClosureOutcome,
  Disturbance,
  Fault,
  Finding,
  Handover,
  HoldRelease,
  IdentityCheck,
  Proof,
  Repair,
  Restoration,
  Signature,
  Swap,
} from '../walk/record.ts'

/** `repeated`: this id was written before with the same content, and nothing was written now. */
export interface Written {
  repeated: boolean
}

export type Role = 'technician' | 'engineer' | 'author' | 'reviewer'

export interface Person {
  id: string
  name: string
  role: Role
  active: boolean
  pinHash: string
}

export interface Session {
  personId: string
  startedAt: string
  seenAt: string
}

export interface EditionRow {
  id: string
  publishedAt: string
  publishedBy: string | null
  publishedByName: string | null
  note: string
}

export interface EditionFile {
  path: string
  text: string
  sha256: string
}

export interface Site {
  id: string
  name: string
  line: string
  mileage: string
  access: string
}

/** `faultsInYear`: reported in the last 365 days. `repeatPositions`: those with a repeat fault among them. */
export type SiteSummary = Site & {
  positions: number
  openFaults: number
  faultsInYear: number
  repeatPositions: number
}

export interface NewPosition {
  id: string
  siteId: string
  name: string
  /** Slug of the equipment kind. */
  equipment: string
  /** The code on the equipment's plate. */
  plate: string
  /** Whether a failure is shown to the signaller. */
  indicated: boolean
  inService: string
  outOfService: string | null
  facts: Record<string, string>
}

export type Position = NewPosition & {
  siteName: string
  siteAccess: string
  fitted: FittedUnit[]
}

export interface Unit {
  id: string
  kind: string
  serial: string
  variant: string
}

export interface FittedUnit {
  fittingId: string
  unitId: string
  kind: string
  serial: string
  variant: string
  fittedAt: string
}

export type Fitting = FittedUnit & {
  positionId: string
  positionName: string
  siteId: string
  siteName: string
  removedAt: string | null
}

export interface FaultSummary {
  id: string
  positionId: string
  positionName: string
  siteId: string
  siteName: string
  equipment: string
  tree: string
  symptom: string
  reportedAt: string
  protection: Fault['protection']
  /** Name and id of the person whose attendance is open, or null. */
  attendedBy: string | null
  attendedById: string | null
  closedAt: string | null
  outcome: ClosureOutcome | null
  /** `equipment/cause` */
  cause: string | null
  clearedItself: boolean
  changed: string | null
  /** Attendance minutes summed; an open attendance counts up to now. */
  minutes: number
  /** Names of those who attended, in order of first attendance. */
  people: string[]
  /** The newest finding in words, where it was found (null for a rejection), and when. */
  lastFinding: string | null
  lastFindingCheck: CheckRef | null
  lastFindingAt: string | null
  /** Faults at the same position within the repeat window before this one. */
  earlierInWindow: number
}

export interface EngineerNote {
  id: string
  faultId: string
  at: string
  by: string
  byName: string
  words: string
  settled: boolean
}

/** Omit that keeps the members of a union apart. */
type Without<T, K extends string> = T extends unknown ? Omit<T, K> : never

/** A row to write: without what storage fills in. `at` is now unless given. */
type New<T> = Without<T, 'byName' | 'seq' | 'at'> & { faultId: string; at?: string }

export type NewFault = Fault & { conditions: { name: string; value: string }[]; recordedAt?: string }
export type NewAttendance = Omit<Attendance, 'personName' | 'startedAt' | 'endedAt' | 'endedHow'> & {
  startedAt?: string
}
export type NewFinding = New<Finding>
export type NewDisturbance = New<Disturbance>
export type NewRestoration = New<Restoration>
export type NewSwap = Omit<Swap, 'override'> & { override: { by: string; reason: string } | null }
export type NewRepair = New<Omit<Repair, 'swap'>> & { swap: NewSwap | null }
export type NewProof = New<Proof>
export type NewIdentityCheck = New<IdentityCheck>
export type NewHoldRelease = New<HoldRelease>
export type NewHandover = New<Omit<Handover, 'items' | 'acceptedAt' | 'acceptedBy'>> & {
  items: { key: string; text: string }[]
}
export interface NewConfirmation {
  id: string
  handoverId: string
  key: string
  by: string
  at?: string
}
export type NewClosure = New<Closure>
/** Signed by the person who closes, at the same moment. */
export type NewSignature = Omit<Signature, 'at' | 'by'>
export type NewEngineerNote = New<Omit<EngineerNote, 'faultId'>>

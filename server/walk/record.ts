// What is on record for one fault. Rows only append; a
// correction is a new row that names the one it replaces.

import type { CheckRef } from '../knowledge/types.ts'
import type { FuseKind } from '../measurement/electrics/fuse.ts'
import type { Range } from '../measurement/limits/expectation.ts'
import type { Reading } from '../measurement/readings/reading.ts'
import type { Taken } from '../measurement/readings/taken.ts'
import type { Verdict } from '../measurement/verdicts/verdict.ts'
import type { TestMade } from './tests-after-work.ts'

interface Made {
  /** Chosen by the client, so that sending it twice writes it once. */
  id: string
  attendanceId: string
  /** UTC, ISO 8601. */
  at: string
  by: string
  /** The person's name as shown. */
  byName: string
}

export type Finding = Made & {
  /** Order within the fault, from 1: as it arrived; where acts of a tablet came late, as it was done. */
  seq: number
  /** The finding this one corrects, or null. */
  replaces: string | null
  /** Why it was corrected, why a row was chosen against the verdict, why the path was left. */
  reason: string | null
  note: string | null
} & (
    | {
        kind: 'reading'
        check: CheckRef
        /** What was typed; where the reading was worked out of it, `taken` says how. */
        text: string
        reading: Reading
        /** The expected range as it was then; null where the limit was blank. */
        range: Range | null
        verdict: Verdict
        /** Label of the row the technician chose, when it was not left to the verdict. */
        chosenRow: string | null
        instrument: string | null
        /** How it was taken; null or absent where the reading stands as typed. */
        taken?: Taken | null
      }
    | { kind: 'observation'; check: CheckRef; word: string; chosenRow: string | null }
    | { kind: 'cannot tell'; check: CheckRef; chosenRow: string | null }
    /** The technician left the path at `check` (or at a cause, end or choice) and went to `to`. */
    | { kind: 'departure'; from: string; to: CheckRef; suggested: boolean }
    /** "Not this": the cause was ruled out by a failed proof, or it was mended and the symptom stayed. */
    | { kind: 'rejection'; cause: string; mended: boolean }
  )

export type CheckFinding = Extract<Finding, { kind: 'reading' | 'observation' | 'cannot tell' }>
export type DepartureFinding = Extract<Finding, { kind: 'departure' }>
export type RejectionFinding = Extract<Finding, { kind: 'rejection' }>

export interface Fault {
  id: string
  /** The short number said on the phone; none yet where it was reported without signal. */
  number?: number | null
  positionId: string
  tree: string
  editionId: string
  symptom: string
  reportedAt: string
  reportedBy: string
  recordedBy: string
  noticed: string
  protection: 'kept' | 'lost' | 'not known'
  intermittent: boolean
}

export interface Attendance {
  id: string
  faultId: string
  personId: string
  personName: string
  startedAt: string
  seenHistoryAt: string
  spokenTo: string
  protectionWords: string
  isolationWords: string
  expectedFinish: string | null
  endedAt: string | null
  endedHow: 'closed' | 'handed over' | 'taken over' | null
  /** Why it was taken over without a handover; null otherwise. */
  endedWords: string | null
}

/** Something taken off, out or across by hand, outside the checks: a strap, a fuse out, a test lead. */
export type Disturbance = Made & { item: string }

export type Restoration = Made & {
  /** Key of the disturbed item: `finding:ID`, `place:TREE#CHECK` or `item:ID`. */
  itemKey: string
  how: 'restored' | 'never disturbed'
  note: string | null
}

export type RepairAction =
  | 'unit replaced'
  | 'connection remade'
  | 'contact cleaned'
  | 'fuse replaced'
  | 'cable repaired'
  | 'adjusted'
  | 'reset'
  | 'nothing changed'
  | 'other'

export type Repair = Made & {
  /** `equipment/cause` slug pair the repair is for. */
  cause: string
  action: RepairAction
  words: string
  swap: Swap | null
  /** Of a replaced fuse; null or absent for other repairs, and for records from before it was asked. */
  fuse?: BlownFuse | null
}

export interface BlownFuse {
  /** What blew it, in words; null: not found yet. */
  blownBy: string | null
  /** Amperes; null where not known or not measured. */
  rating: number | null
  load: number | null
  kind: FuseKind
}

export interface Swap {
  kind: string
  serialOut: string
  variantOut: string
  serialIn: string
  variantIn: string
  /** Setting name → as found on the old unit, as left on the new one. */
  settings: { name: string; asFound: string; asLeft: string }[]
  /** What was not as on record, and was said to be right; missing where it was not compared. */
  differences?: string[]
  override: { by: string; byName: string; reason: string } | null
}

export type Proof = Made & {
  cause: string
  passed: boolean
  /** Number of the repair round it belongs to: the count of rejections before it. */
  round: number
} & (
    | {
        kind: 'reading'
        check: CheckRef
        text: string
        reading: Reading
        range: Range | null
        verdict: Verdict
        instrument: string | null
        reason: string | null
        taken?: Taken | null
      }
    | { kind: 'observation'; check: CheckRef; word: string; reason: string | null }
    | { kind: 'symptom'; word: 'gone' | 'still there' | 'cannot tell' }
  )

export type IdentityCheck = Made & { typed: string; matched: boolean }

export type HoldRelease = { id: string; at: string; by: string; byName: string; reason: string }

export interface Handover {
  id: string
  attendanceId: string
  at: string
  by: string
  byName: string
  nextStep: string
  words: string
  /** What the incoming person confirms, item by item. */
  items: { key: string; text: string; confirmedAt: string | null }[]
  acceptedAt: string | null
  acceptedBy: string | null
  /** When whoever wrote it took the fault back; null otherwise. */
  withdrawnAt: string | null
}

export type ClosureOutcome =
  | 'proven cause'
  | 'probable cause'
  | 'not reproduced'
  | 'not completed'
  | 'passed on'

export interface Closure {
  id: string
  /** null for a fault of the past that came in from a spreadsheet: nobody attended it here. */
  attendanceId: string | null
  at: string
  by: string
  byName: string
  /** `not recorded` only for a fault that came in from a spreadsheet. */
  outcome: ClosureOutcome | 'not recorded'
  cause: string | null
  /** "Cleared itself while I was there". */
  clearedItself: boolean
  changed: string
  words: string
  /** Tests after work that passed; not set on records from before there were any. */
  testsAfterWork?: readonly TestMade[]
  /** Who was told that it is back, when, and what they said; null where nothing was noted. */
  told?: Told | null
}

export interface Told {
  who: string
  /** UTC ISO text. */
  at: string
  said: string
}

export interface Signature {
  id: string
  at: string
  by: string
  printedName: string
  /** What signing says: "I did this work and tested it". */
  meaning: string
  /** SHA-256 of the record as signed. */
  contentHash: string
  /** What was on record by then and not on the tablet, where it was signed without signal: ids; not part of it. */
  unseen: string[]
}

/** What a record tells, of a fault or of a round, in order of time. */
export type WalkEntries = Pick<
  FaultRecord,
  | 'findings'
  | 'restorations'
  | 'identities'
  | 'disturbances'
  | 'proofs'
  | 'repairs'
  | 'holdReleases'
  | 'handovers'
>

/** All of one fault, as the pure functions take it. */
export interface FaultRecord {
  fault: Fault
  /** Conditions of an intermittent symptom: "weather" → "rain". */
  conditions: { name: string; value: string }[]
  attendances: Attendance[]
  findings: Finding[]
  disturbances: Disturbance[]
  restorations: Restoration[]
  repairs: Repair[]
  proofs: Proof[]
  identities: IdentityCheck[]
  holdReleases: HoldRelease[]
  handovers: Handover[]
  closure: Closure | null
  signatures: Signature[]
}

// A fault at the small equipment, put together entry by entry. Minutes count from the report.

import type { Verdict } from '../../server/measurement/verdicts/verdict.ts'
import type {
  Attendance,
  CheckFinding,
  FaultRecord,
  Finding,
  IdentityCheck,
  Proof,
  Repair,
  RepairAction,
  Restoration,
} from '../../server/walk/record.ts'
import { at, treeSlug } from './small-knowledge.ts'

export const minute = (minutes: number) => new Date(Date.UTC(2026, 2, 3, 8, minutes)).toISOString()

const made = (id: string, minutes: number, attendanceId = 'first') => ({
  id,
  attendanceId,
  at: minute(minutes),
  by: 'ada',
  byName: 'Ada',
})

const plain = { replaces: null, reason: null, note: null }

export function verdict(side: Verdict['side'], zone: Verdict['zone'] = 'in'): Verdict {
  return {
    side,
    zone,
    rule: 'simple',
    probability: null,
    uncertainty: null,
    because: `96.4 V AC is ${side}`,
    advice: null,
  }
}

export function reading(
  seq: number,
  check: string,
  side: Verdict['side'],
  more: { chosenRow?: string; replaces?: string; reason?: string; zone?: Verdict['zone'] } = {},
): CheckFinding {
  return {
    ...made(`f${seq}`, seq),
    ...plain,
    seq,
    kind: 'reading',
    check: at(check),
    text: '96.4',
    reading: { kind: 'value', value: 96.4, resolution: 0.1, unit: 'V AC' },
    range: null,
    verdict: verdict(side, more.zone),
    chosenRow: more.chosenRow ?? null,
    instrument: null,
    replaces: more.replaces ?? null,
    reason: more.reason ?? null,
  }
}

export function seen(seq: number, check: string, word: string, replaces: string | null = null): CheckFinding {
  return {
    ...made(`f${seq}`, seq),
    ...plain,
    seq,
    kind: 'observation',
    check: at(check),
    word,
    chosenRow: null,
    replaces,
  }
}

export function cannotTell(seq: number, check: string, chosenRow: string | null = null): CheckFinding {
  return { ...made(`f${seq}`, seq), ...plain, seq, kind: 'cannot tell', check: at(check), chosenRow }
}

export function departure(seq: number, from: string, to: string): Finding {
  const moved = { kind: 'departure' as const, from, to: at(to), suggested: false }
  return { ...made(`f${seq}`, seq), ...plain, seq, ...moved, reason: 'smelt burning' }
}

export function rejection(seq: number, cause: string, mended = false): Finding {
  return { ...made(`f${seq}`, seq), ...plain, seq, kind: 'rejection', cause, mended }
}

export function repair(minutes: number, cause: string, action: RepairAction = 'fuse replaced'): Repair {
  const blown = { blownBy: 'a strand across it', rating: null, load: null, kind: 'gG' as const }
  const fuse = action === 'fuse replaced' ? blown : null
  return { ...made(`repair${minutes}`, minutes), cause, action, words: 'done', swap: null, fuse }
}

export function proof(minutes: number, cause: string, check: string, passed: boolean, round = 0): Proof {
  return {
    ...made(`proof${minutes}`, minutes),
    cause,
    round,
    passed,
    kind: 'observation',
    check: at(check),
    word: passed ? 'lit' : 'dark',
    reason: null,
  }
}

export function symptomProof(minutes: number, cause: string, passed: boolean, round = 0): Proof {
  const word = passed ? ('gone' as const) : ('still there' as const)
  return { ...made(`proof${minutes}`, minutes), cause, round, passed, kind: 'symptom', word }
}

export function restored(
  minutes: number,
  itemKey: string,
  how: Restoration['how'] = 'restored',
): Restoration {
  return { ...made(`restored${minutes}`, minutes), itemKey, how, note: null }
}

export function identity(minutes: number, matched = true, attendanceId = 'first'): IdentityCheck {
  return { ...made(`identity${minutes}`, minutes, attendanceId), typed: 'QX 104', matched }
}

export function attendance(id = 'first', minutes = 0, ended: number | null = null): Attendance {
  return {
    id,
    faultId: 'fault',
    personId: 'ada',
    personName: 'Ada',
    startedAt: minute(minutes),
    seenHistoryAt: minute(minutes),
    spokenTo: 'the signaller',
    protectionWords: 'line blocked',
    isolationWords: 'nothing isolated',
    expectedFinish: null,
    endedAt: ended === null ? null : minute(ended),
    endedHow: ended === null ? null : 'handed over',
    endedWords: null,
  }
}

export function record(
  parts: Partial<FaultRecord> = {},
  fault: Partial<FaultRecord['fault']> = {},
): FaultRecord {
  return {
    fault: {
      id: 'fault',
      positionId: 'position',
      tree: treeSlug,
      editionId: 'edition',
      symptom: 'output lamp dark',
      reportedAt: minute(0),
      reportedBy: 'the signaller',
      recordedBy: 'ada',
      noticed: 'by the signaller',
      protection: 'kept',
      intermittent: false,
      ...fault,
    },
    conditions: [],
    attendances: [attendance()],
    findings: [],
    disturbances: [],
    restorations: [],
    repairs: [],
    proofs: [],
    identities: [],
    holdReleases: [],
    handovers: [],
    closure: null,
    signatures: [],
    ...parts,
  }
}

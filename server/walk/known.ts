// What a tablet without signal held of a record, and what acts that arrive late change in it.

import type { Knowledge } from '../knowledge/types.ts'
import { stillDisturbed } from './disturbed.ts'
import { proofsSetAside } from './proof.ts'
import type { Attendance, FaultRecord, Handover } from './record.ts'
import { walked } from './stage.ts'

export interface Holder {
  personId: string
  /** When the tablet's copy was made; UTC ISO text. */
  copiedAt: string
  /** Ids of what was done before that and arrived after it. */
  arrivedSince: Set<string>
}

interface Row {
  id: string
  at: string
  by: string
}

/**
 * The record as its holder knew it: what was on record when the copy was made, and what they did themselves since. An
 * attendance of theirs stands open until they end it.
 */
export function knownTo(record: FaultRecord, holder: Holder): FaultRecord {
  const { personId, copiedAt, arrivedSince } = holder
  const before = (id: string, at: string) => at <= copiedAt && !arrivedSince.has(id)
  const known = <T extends Row>(rows: T[]): T[] =>
    rows.filter(({ id, at, by }) => by === personId || before(id, at))
  const { closure } = record
  return {
    ...record,
    attendances: knownAttendances(record.attendances, holder, before),
    findings: known(record.findings),
    disturbances: known(record.disturbances),
    restorations: known(record.restorations),
    repairs: known(record.repairs),
    proofs: known(record.proofs),
    identities: known(record.identities),
    holdReleases: known(record.holdReleases),
    handovers: known(record.handovers).map(one => asKnown(one, holder)),
    closure: closure && known([closure])[0] ? closure : null,
    signatures: known(record.signatures),
  }
}

function knownAttendances(
  all: Attendance[],
  { personId, copiedAt }: Holder,
  before: (id: string, at: string) => boolean,
): Attendance[] {
  const known = all.filter(({ id, startedAt, personId: by }) => by === personId || before(id, startedAt))
  const own = known
    .filter(one => one.personId === personId)
    .sort((a, b) => (a.startedAt < b.startedAt ? -1 : 1))
  const last = own.at(-1)
  const open = last && last.endedHow !== 'closed' && !endedBefore(last, copiedAt) ? last : null
  return known.map(one => {
    if (one === open) return asOpen(one)
    if (open || one.endedAt === null || endedBefore(one, copiedAt)) return open ? asEnded(one) : one
    return one.personId === personId ? one : asOpen(one)
  })
}

const endedBefore = ({ endedAt }: Attendance, copiedAt: string) => endedAt !== null && endedAt <= copiedAt
const asOpen = (one: Attendance): Attendance => ({ ...one, endedAt: null, endedHow: null, endedWords: null })
const asEnded = (one: Attendance): Attendance =>
  one.endedAt === null ? { ...one, endedAt: one.startedAt, endedHow: 'taken over' } : one

function asKnown(handover: Handover, { personId, copiedAt }: Holder): Handover {
  const { acceptedAt, acceptedBy } = handover
  if (acceptedAt === null || acceptedBy === personId || acceptedAt <= copiedAt) return handover
  return { ...handover, acceptedAt: null, acceptedBy: null }
}

/** Ids of what is on record and not in the part of it. */
export function unseenIn(record: FaultRecord, part: FaultRecord): string[] {
  const there = new Set(idsOf(part))
  return idsOf(record).filter(id => !there.has(id))
}

/** Of every entry of the record, each in it once, in no order that hangs on when it arrived. */
export function idsOf(record: FaultRecord): string[] {
  const { attendances, findings, disturbances, restorations, repairs, proofs, identities } = record
  const lists = [attendances, findings, disturbances, restorations, repairs, proofs, identities]
  const more = [record.holdReleases, record.handovers, record.closure ? [record.closure] : []]
  return [...lists, ...more, record.signatures].flatMap(list => list.map(({ id }) => id)).sort()
}

/** What stands in the record now and did not before, where somebody must know of it. */
export interface Changed {
  /** Disturbed, and nobody has put it back. */
  open: string[]
  /** Ids of proofs that no longer count, with what was disturbed then. */
  setAside: { proof: string; items: string[] }[]
}

export function changed(knowledge: Knowledge, before: FaultRecord, after: FaultRecord): Changed {
  const [was, is] = [before, after].map(record => standing(knowledge, record))
  return {
    open: (is?.open ?? [])
      .filter(item => !was?.open.some(({ key }) => key === item.key))
      .map(({ item }) => item),
    setAside: (is?.setAside ?? []).filter(({ proof }) => !was?.setAside.some(one => one.proof === proof)),
  }
}

function standing(knowledge: Knowledge, record: FaultRecord) {
  const { disturbed } = walked(knowledge, record.fault.tree, record)
  const setAside = [...proofsSetAside(knowledge, record, disturbed)]
  return {
    // What only the place of the walk says is no act of anybody's.
    open: stillDisturbed(disturbed).filter(({ key }) => !key.startsWith('place:')),
    setAside: setAside.map(([proof, items]) => ({ proof, items: items.map(({ item }) => item) })),
  }
}

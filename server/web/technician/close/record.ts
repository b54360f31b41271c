import { findCheck } from '../../../knowledge/graph.ts'
import { calibration } from '../../../measurement/instruments/instrument.ts'
import type { Range } from '../../../measurement/limits/expectation.ts'
import { formatReading } from '../../../measurement/readings/reading.ts'
import { narrate } from '../../../walk/narrate.ts'
import { proofsSetAside } from '../../../walk/proof.ts'
import type { Finding, Proof } from '../../../walk/record.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { smallExpectedBar } from '../check/check-drawings.ts'
import { arrivedLate, notSeenWords } from '../in-hand/arrived-late.ts'
import { type FaultInHand, readFault } from '../in-hand/fault-in-hand.ts'
import { readingWords, verdictMark } from '../in-hand/found-words.ts'
import { narratedEntries } from '../in-hand/narrated-entries.ts'
import { placeInWalk } from '../in-hand/place-in-walk.ts'
import { photosOf } from '../photos/photos.ts'
import {
  attendanceTable,
  disturbedTable,
  type RecordedReading,
  readingTable,
  recordRows,
  swapTable,
} from './record-tables.ts'

type Read = Extract<Finding | Proof, { kind: 'reading' }>

/** The record of the fault on one or two A4 pages; readable by everyone, at any time. */
export const show = (deps: Deps) => (req: Request) => {
  const fault = readFault(deps, req)
  return page('technician/close/record', {
    title: `Record: ${fault.position.siteName}, ${fault.position.name}`,
    fault,
    place: placeInWalk(fault),
    rows: recordRows(deps, fault),
    attendances: attendanceTable(deps.times, fault.record.attendances),
    readings: readingTable(deps.times, readings(deps, fault)),
    told: narratedEntries(narrate(fault.knowledge, fault.record.fault.tree, fault.record), deps.times),
    swaps: swapTable(fault.record.repairs.flatMap(repair => repair.swap ?? [])),
    disturbed: disturbedTable(deps.times, fault.disturbed),
    photos: photosOf(deps, fault.record.fault.id),
    late: arrivedLate(deps, fault.record.fault.id),
    signatures: fault.record.signatures.map(one => ({ ...one, notSeen: notSeenWords(fault.record, one) })),
    notes: deps.storage.engineerNotes.listByFault(fault.record.fault.id),
    head: fault.record.signatures.length > 0 ? shortHead(deps.storage.trail.head()) : null,
    printedAt: deps.clock().toISOString(),
  })
}

/** As much of the newest entry's hash as `npm run verify -- --known` needs to find it again; from a paper copy too. */
function shortHead(head: { hash: string } | null): string | null {
  return head?.hash.slice(0, 16) ?? null
}

/** Readings and proofs with what they were held against, as it was then, and what they were taken with. */
function readings(deps: Deps, fault: FaultInHand): RecordedReading[] {
  const struck = new Set(fault.walk.struck.map(pair => pair.old.id))
  const setAside = proofsSetAside(fault.knowledge, fault.record, fault.disturbed)
  const readings = fault.record.findings.filter(entry => entry.kind === 'reading')
  const proved = fault.record.proofs.filter(entry => entry.kind === 'reading')
  const all: Read[] = [...readings, ...proved].sort((a, b) => (a.at < b.at ? -1 : 1))
  return all.map(entry => ({
    title: findCheck(fault.knowledge, entry.check)?.title ?? entry.check.check,
    text: formatReading(entry.reading),
    typed: entry.text,
    struck: struck.has(entry.id),
    proof: 'passed' in entry,
    setAside: setAside.has(entry.id),
    judgedBy: 'passed' in entry && !entry.range ? judgedByWords(entry) : null,
    expected: entry.range?.text ?? 'no limit on record',
    from: entry.range ? limitWords(entry.range) : null,
    because: [entry.verdict.advice, ...readingWords(entry.verdict, entry.taken)].filter(Boolean).join(' '),
    mark: verdictMark(entry.verdict),
    bar: smallExpectedBar(entry.range, entry.reading),
    instrument: instrumentWords(deps, entry),
    byName: entry.byName,
    at: entry.at,
  }))
}

/** A proof with no limit on record was judged by the technician's own instructions. */
function judgedByWords({ passed, reason }: Proof & { kind: 'reading' }): string {
  return `${passed ? 'Passes' : 'Does not pass'} by: ${reason ?? 'not recorded'}`
}

/** Where the limit came from, and the sum that gave it. */
function limitWords({ demo, from, working }: Range): string {
  return [demo && !/^demo value/i.test(from) ? 'Demo value.' : '', `${from}.`, working ?? '']
    .filter(Boolean)
    .join(' ')
}

function instrumentWords(deps: Deps, { instrument, at }: Read): string {
  const used = instrument ? deps.storage.instruments.findAt(instrument, at) : null
  if (!used) return 'no instrument named'
  const late = calibration(used, at) === 'out of date' ? ', calibration out of date' : ''
  return `${used.kind} ${used.serial}${late}`
}

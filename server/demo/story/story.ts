// One fault told from its report to its closure, in the order in which the program itself asks for things.

import type { Equipment, Knowledge, Row } from '../../knowledge/types.ts'
import type { Random } from '../../statistics/random.ts'
import type { Storage } from '../../storage/storage.ts'
import type { Attendance, FaultRecord } from '../../walk/record.ts'
import type { Depot } from '../railway/depot.ts'
import { type DemoPerson, technicians } from '../railway/people.ts'
import type { DemoPosition } from '../railway/railway.ts'
import { shownOn } from '../railway/routes.ts'
import type { PlannedFault } from './planning.ts'
import * as words from './words.ts'

export interface Scene {
  seed: number
  random: Random
  knowledge: Knowledge
  editionId: string
  equipment: Equipment
  position: DemoPosition
  planned: PlannedFault
  depot: Depot
  faultId: string
  /** Nothing on record may be later, in milliseconds. */
  latest: number
}

export type SceneMaker = (planned: PlannedFault, number: number) => Scene

export type Write = (storage: Storage) => void

/** A fault while it is being told: the record as it stands, and how to write the same into the database. */
export interface Story {
  scene: Scene
  record: FaultRecord
  writes: Write[]
  /** Milliseconds since 1970. */
  now: number
  /** What each check shows for now, by check key. */
  shows: Map<string, Row>
  /** The decoy is still taken for the true cause. */
  misled: boolean
  person: DemoPerson
  attendanceId: string
  /** Mishaps that have happened. */
  had: Set<'handover' | 'correction' | 'departure'>
  /** Findings after which the technician stops, where the ending comes before a cause. */
  stopAfter: number
  count: number
}

/** The fault as reported; nobody attends it yet. */
export function report(scene: Scene): Story {
  const { planned, position, random, faultId, editionId } = scene
  const recorder = random.pick(technicians)
  const fault: FaultRecord['fault'] = {
    id: faultId,
    positionId: position.id,
    tree: planned.route.tree.slug,
    editionId,
    symptom: planned.route.tree.symptom,
    reportedAt: iso(planned.at),
    reportedBy: random.pick(words.reporters),
    recordedBy: recorder.id,
    noticed: random.pick(position.indicated ? words.noticedWhenShown : words.noticedWhenHidden),
    protection: planned.protection,
    intermittent: planned.intermittent,
  }
  const { conditions } = planned
  return {
    scene,
    record: { fault, conditions, ...nothingYet() },
    writes: [storage => storage.faults.create({ ...fault, conditions, recordedAt: fault.reportedAt })],
    now: planned.at,
    shows: shownOn(planned.decoy ?? planned.route),
    misled: planned.decoy !== null,
    person: random.pick(technicians),
    attendanceId: '',
    had: new Set(),
    stopAfter: planned.stopAfter ?? random.whole(2, 4),
    count: 0,
  }
}

/** The technician arrives, reads the history and begins. */
export function attend(story: Story, travelMinutes: number): void {
  pass(story, travelMinutes)
  const attendance = beginAttendance(story)
  const { personName: _name, endedAt: _at, endedHow: _how, endedWords: _words, ...made } = attendance
  story.writes.push(storage => storage.attendances.start(made))
}

/** A new attendance of `story.person`, on the record; writing it is the caller's. */
export function beginAttendance(story: Story): Attendance {
  const { random, faultId } = story.scene
  const attendance: Attendance = {
    id: newId(story, 'attendance'),
    faultId,
    personId: story.person.id,
    personName: story.person.name,
    startedAt: iso(story.now),
    seenHistoryAt: iso(story.now),
    spokenTo: random.pick(words.spokenTo),
    protectionWords: random.pick(words.protections),
    isolationWords: random.pick(words.isolations),
    expectedFinish: iso(story.now + random.whole(3, 6) * 1_800_000),
    endedAt: null,
    endedHow: null,
    endedWords: null,
  }
  story.record.attendances.push(attendance)
  story.attendanceId = attendance.id
  return attendance
}

export function endAttendance(story: Story, how: NonNullable<Attendance['endedHow']>): void {
  for (const attendance of story.record.attendances) {
    if (attendance.id === story.attendanceId)
      Object.assign(attendance, { endedAt: iso(story.now), endedHow: how })
  }
}

/** What every entry made now by the technician in hand begins with. */
export function made(story: Story, kind: string) {
  return {
    id: newId(story, kind),
    attendanceId: story.attendanceId,
    at: iso(story.now),
    by: story.person.id,
    byName: story.person.name,
  }
}

export function newId(story: Story, kind: string): string {
  story.count += 1
  return `${story.scene.faultId}-${kind}-${story.count}`
}

/** Minutes go by, never past the end of the demo's time. */
export function pass(story: Story, minutes: number): void {
  story.now = Math.min(story.scene.latest, story.now + Math.round(minutes * 60_000))
}

export function iso(time: number): string {
  return new Date(time).toISOString()
}

function nothingYet() {
  return {
    attendances: [],
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
  }
}

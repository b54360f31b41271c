import { createObjectCache } from '../../../cache.ts'
import { AppError } from '../../../errors.ts'
import { findCheck } from '../../../knowledge/graph.ts'
import type { Check, CheckRef, Equipment, FaultTree, Knowledge } from '../../../knowledge/types.ts'
import type { Position } from '../../../storage/storage.ts'
import type { DisturbedItem } from '../../../walk/disturbed.ts'
import type { Walk } from '../../../walk/place.ts'
import type { Attendance, FaultRecord, Finding, Handover } from '../../../walk/record.ts'
import { type Stage, stage, type Walked, waitingHandover, walked } from '../../../walk/stage.ts'
import type { Deps } from '../../deps.ts'
import { person, type Request } from '../../host/request.ts'

/** A walk with everything computed from its record, on the edition it began with: at a fault, or on a round. */
export interface WalkInHand {
  /** Read anew when anything of it changes, so what follows from it can be remembered by it. */
  record: { findings: Finding[] }
  position: Position
  knowledge: Knowledge
  tree: FaultTree
  equipment: Equipment
  walk: Walk
  disturbed: DisturbedItem[]
}

/** One fault with everything computed from its record, on the edition it began with. */
export interface FaultInHand extends WalkInHand {
  record: FaultRecord
  stage: Stage
  /** The open attendance, the visitor's or another's. */
  attendance: Attendance | null
  /** True when the open attendance is the visitor's own and not handed over, so that they may write. */
  mine: boolean
  /** The handover that waits for the next person: nobody writes until it is taken over or taken back. */
  handedOver: Handover | null
  /** The latest finish agreed for the open attendance by the depot's clock, and how many minutes are left; negative once it is past. */
  finish: { clock: string; minutes: number } | null
}

/** A fault that the visitor attends, so that they may write. */
export type OwnFault = FaultInHand & { attendance: Attendance }

/** Reads the fault named in the address. Throws not found when it is unknown. */
export function readFault(deps: Deps, req: Request): FaultInHand {
  const record = deps.storage.faults.get(String(req.params.fault))
  return faultInHand(deps, record, person(req).id)
}

/** As readFault, for a page that writes: the visitor must have the fault in hand. */
export function readOwnFault(deps: Deps, req: Request): OwnFault {
  const fault = readHeldFault(deps, req)
  if (fault.handedOver) throw new AppError('conflict', notInHand(fault))
  return fault
}

/** As readOwnFault, for what the visitor may also do while a handover of theirs waits. */
export function readHeldFault(deps: Deps, req: Request): OwnFault {
  const fault = readFault(deps, req)
  if (fault.record.closure)
    throw new AppError('conflict', 'This fault is closed. Nothing can be added to its walk.')
  if (!isHeldBy(fault, person(req).id)) throw new AppError('conflict', notInHand(fault))
  return fault
}

/** Of what fault an entry is, made in which attendance, and by whom. */
export function entryOf({ record, attendance }: OwnFault, req: Request) {
  return { faultId: record.fault.id, attendanceId: attendance.id, by: person(req).id }
}

/** Whether the open attendance is this person's, handed over or not. */
export function isHeldBy(fault: FaultInHand, personId: string): fault is OwnFault {
  return fault.attendance?.personId === personId
}

function faultInHand(deps: Deps, record: FaultRecord, personId: string): FaultInHand {
  const edition = deps.library.edition(record.fault.editionId)
  if (!edition)
    throw new AppError('not found', 'The edition this fault was walked on is not in the database.')
  const { knowledge } = edition
  const tree = knowledge.trees.get(record.fault.tree)
  const equipment = tree && knowledge.equipment.get(tree.equipment)
  if (!tree || !equipment)
    throw new AppError('not found', 'The fault tree of this fault is not in its edition.')
  const stands = walks(record, () => walked(knowledge, record.fault.tree, record))
  const attendance = record.attendances.find(one => one.endedAt === null) ?? null
  const handedOver = waitingHandover(record)
  return {
    record,
    position: deps.storage.positions.get(record.fault.positionId),
    knowledge,
    tree,
    equipment,
    walk: stands.walk,
    get disturbed() {
      return stands.disturbed
    },
    stage: stage(knowledge, record, deps.clock().toISOString(), deps.config.breakMinutes, stands),
    attendance,
    mine: attendance?.personId === personId && handedOver === null,
    handedOver,
    finish: finishOf(deps, attendance),
  }
}

function finishOf(deps: Deps, attendance: Attendance | null): FaultInHand['finish'] {
  const at = attendance?.expectedFinish
  if (!at) return null
  return {
    clock: deps.times.clock(at),
    minutes: Math.floor((Date.parse(at) - deps.clock().getTime()) / 60_000),
  }
}

/** A record is read anew when anything of its fault changes, so each is walked once. */
const walks = createObjectCache<FaultRecord, Walked>()

function notInHand(fault: FaultInHand): string {
  if (!fault.attendance)
    return 'Nobody is attending this fault now. Attend it first, from the fault’s own page.'
  if (fault.handedOver)
    return `${fault.handedOver.byName} has handed this fault over. What you sent was not recorded: take the fault over, or back, from its own page.`
  return `${fault.attendance.personName} has this fault in hand. What you sent was not recorded: ask for a handover, or take the fault over from its own page.`
}

/** The address of the page that comes next for a fault. */
export function nextAddress(fault: FaultInHand): string {
  const base = `/faults/${fault.record.fault.id}`
  const { stage, handedOver } = fault
  if (handedOver) return `${base}/handovers/${handedOver.id}`
  switch (stage.kind) {
    case 'held':
      return `${base}/hold`
    case 'identify':
      return `${base}/identity`
    case 'check':
      return `${base}/checks/${stage.check.tree}/${stage.check.slug}`
    case 'cause':
      return `${base}/cause`
    case 'choose':
      return `${base}/choice`
    case 'end':
      return `${base}/end`
    case 'put back':
      return `${base}/put-back`
    case 'prove':
      return `${base}/proof`
    case 'close':
      return `${base}/closure`
    default:
      return base
  }
}

/** The check in the edition the walk began with. Throws not found. */
export function checkOf({ knowledge }: WalkInHand, ref: CheckRef): Check {
  const check = findCheck(knowledge, ref)
  if (!check) throw new AppError('not found', 'There is no such check in the edition this walk began with.')
  return check
}

/** The check the address names. Throws not found. */
export function namedCheck(walk: WalkInHand, { params: { tree = '', check = '' } }: Request): Check {
  return checkOf(walk, { tree, check })
}

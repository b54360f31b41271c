import { AppError } from '../../../errors.ts'
import type { HowEnded, VisitRecord } from '../../../storage/storage.ts'
import { type DisturbedItem, stillDisturbed } from '../../../walk/disturbed.ts'
import type { WalkEntries } from '../../../walk/record.ts'
import { walked } from '../../../walk/stage.ts'
import type { Deps } from '../../deps.ts'
import { person, type Request } from '../../host/request.ts'
import type { WalkInHand } from '../in-hand/fault-in-hand.ts'
import type { PlaceInWalk } from '../in-hand/place-in-walk.ts'

/** One visit with everything computed from its record, on the edition it began with. */
export interface RoundInHand extends WalkInHand {
  record: VisitRecord
  /** True when the visit has not ended and is the visitor's own, so that they may write. */
  mine: boolean
}

/** Reads the visit named in the address. Throws not found when it is unknown. */
export function readRound(deps: Deps, req: Request): RoundInHand {
  const record = deps.storage.visits.get(String(req.params.visit))
  const { visit } = record
  const knowledge = deps.library.edition(visit.editionId)?.knowledge
  const tree = knowledge?.trees.get(visit.tree)
  const equipment = tree && knowledge?.equipment.get(tree.equipment)
  if (!knowledge || !tree || !equipment)
    throw new AppError('not found', 'The edition this visit was walked on is not in the database.')
  const position = deps.storage.positions.get(visit.positionId)
  const stands = walked(knowledge, visit.tree, entriesOf(record))
  const mine = record.end === null && visit.by === person(req).id
  return { record, position, knowledge, tree, equipment, ...stands, mine }
}

/** As readRound, for a page that writes: the visit must be the visitor's and not have ended. */
export function readOwnRound(deps: Deps, req: Request): RoundInHand {
  const round = readRound(deps, req)
  if (round.record.end) throw new AppError('conflict', 'This visit has ended. Nothing can be added to it.')
  if (!round.mine)
    throw new AppError(
      'conflict',
      `${round.record.visit.byName} is on this visit. What you sent was not recorded: begin your own.`,
    )
  return round
}

/** What still waits to be put back. */
export function open(round: RoundInHand): DisturbedItem[] {
  return stillDisturbed(round.disturbed)
}

/** How the visit would end where it stands: null while there are checks to do. */
export function endsHow({ walk: { place, path } }: RoundInHand): HowEnded | null {
  if (place.kind === 'cause') return 'fault found'
  if (place.kind !== 'end') return null
  if (place.end.means === 'pass on') return 'fault found'
  if (place.end.means === 'not tested') return 'broken off'
  const unseen = path.some(step => step.kind === 'check' && step.finding.kind === 'cannot tell')
  return unseen ? 'healthy in part' : 'healthy'
}

/** The address of the page that comes next. */
export function nextRoundAddress(round: RoundInHand): string {
  const base = `/rounds/${round.record.visit.id}`
  const { place } = round.walk
  if (!round.mine) return base
  return place.kind === 'check' ? `${base}/checks/${place.check.tree}/${place.check.slug}` : `${base}/end`
}

/** The strip at the head of every page of a round. */
export function placeInRound(round: RoundInHand): PlaceInWalk {
  const { position, walk: walked, record } = round
  const where = {
    site: position.siteName,
    position: position.name,
    siteHref: `/sites/${position.siteId}`,
    positionHref: `/positions/${position.id}`,
  }
  if (record.end) return where
  const checks = walked.path.filter(step => step.kind === 'check').length
  return {
    ...where,
    step: walked.place.kind === 'check' ? `Round, check ${checks + 1}` : `Round, ${checks} checks done`,
    disturbed: { count: open(round).length, href: `/rounds/${record.visit.id}/end` },
  }
}

/** A visit as it is told: its plate was read as it began, and nothing was repaired or proved. */
export function entriesOf({ visit, findings, restorations }: VisitRecord): WalkEntries {
  const { id, at, by, byName, plate } = visit
  return {
    findings,
    restorations,
    identities: [{ id, attendanceId: id, at, by, byName, typed: plate, matched: true }],
    disturbances: [],
    proofs: [],
    repairs: [],
    holdReleases: [],
    handovers: [],
  }
}

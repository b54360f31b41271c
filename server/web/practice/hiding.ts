// Hides a fault: a position that is invented, or as one the depot had, with a cause drawn at it.

import type { Site } from '../../circuit/world.ts'
import { AppError } from '../../errors.ts'
import { newId } from '../../ids.ts'
import { causeKey, reachable } from '../../knowledge/graph.ts'
import type { Cause, Equipment, FaultTree, Knowledge } from '../../knowledge/types.ts'
import type { Edition } from '../../library.ts'
import { FAULTS } from '../../practice/causes.ts'
import type { Chance } from '../../practice/chance.ts'
import { type HiddenAt, hideAt } from '../../practice/hide-at.ts'
import { recordOf } from '../../practice/positions.ts'
import type { Storage } from '../../storage/storage.ts'
import { fittingVariants, type PositionFacts } from '../../walk/fit.ts'
import { capitalize } from '../../words.ts'
import type { Deps, PracticeHost } from '../deps.ts'
import type { Request } from '../host/request.ts'
import { person } from '../host/request.ts'
import { type Exercise, keepExercise } from './exercises.ts'

export interface Wanted {
  /** Slug of the fault tree; null: any. */
  tree: string | null
  site: Partial<Site>
  rare: 'as it comes' | 'rare'
}

/** How often another cause or tree is drawn before it is given up. */
const TRIES = 12

/** Begins an exercise on an edition. Throws 'invalid' where no cause can be hidden as wanted. */
export function begin(deps: Deps, req: Request, edition: Edition, wanted: Wanted): Exercise {
  const { practice } = deps
  if (!practice)
    throw new AppError('unavailable', 'Practice needs signal: the model of the equipment is in the depot.')
  const id = newId()
  const hidden = drawn(edition.knowledge, wanted, practice.chance(id))
  if (!hidden)
    throw new AppError(
      'invalid',
      'No fault could be hidden as you asked for it. Leave something open, and try again.',
    )
  const storage = practice.open()
  const who = person(req)
  const practising = { result: null, train: null }
  const exercise: Exercise = {
    ...{ id, person: who, hidden, practising, knowledge: edition.knowledge, faultId: newId() },
    ...{ before: [], readings: [], plateRead: false, waited: 0 },
    deps: worldDeps(deps, storage, edition, practising),
  }
  storage.transaction(() => fill(deps, exercise, edition))
  keepExercise(deps, exercise)
  return exercise
}

/** What the handlers of a world use: its own database and edition, and nothing that reaches the depot's. */
function worldDeps(deps: Deps, storage: Storage, edition: Edition, practising: Exercise['practising']): Deps {
  const refuse = () => {
    throw new AppError('unavailable', 'This is not part of practice.')
  }
  return {
    ...deps,
    storage,
    practice: null,
    practising,
    host: {
      ...deps.host,
      keepPicture: refuse,
      pictureBytes: refuse,
      picturePath: refuse,
      judgeRanking: (_asked, done) => done(null),
    },
    library: {
      current: () => edition,
      edition: id => (id === edition.id ? edition : null),
      problems: () => [],
      ...{ files: refuse, folder: refuse, publish: refuse, withdraw: refuse },
    },
  }
}

function drawn(knowledge: Knowledge, { tree, site, rare }: Wanted, chance: Chance): HiddenAt | null {
  const trees = [...knowledge.trees.values()].filter(
    one =>
      one.kind === 'fault' && (tree === null || one.slug === tree) && causesOf(knowledge, one).length > 0,
  )
  for (let turn = 0; turn < TRIES && trees.length > 0; turn++) {
    const chosen = chance.pick(trees)
    const weight = ({ share }: Cause) => (rare === 'rare' ? 1 / Math.max(share, 0.1) : share)
    const cause = chance.weighted(causesOf(knowledge, chosen), weight)
    const hidden = hideAt(site, chosen.slug, causeKey(cause), chance)
    if (hidden) return hidden
  }
  return null
}

/** The causes of a tree that the model knows. */
export function causesOf(knowledge: Knowledge, tree: FaultTree): Cause[] {
  return reachable(knowledge, tree).causes.filter(cause => FAULTS.has(causeKey(cause)))
}

function fill({ clock, storage: depot, practice }: Deps, exercise: Exercise, edition: Edition): void {
  const { deps, person, hidden, knowledge, faultId } = exercise
  const { storage } = deps
  const tree = knowledge.trees.get(hidden.tree)
  const equipment = knowledge.equipment.get(tree?.equipment ?? '')
  if (!tree || !equipment) throw new Error(`There is no tree ${hidden.tree}.`)
  storage.people.create({ id: person.id, name: person.name, role: 'technician', pinHash: '-' })
  for (const { active: _active, ...instrument } of depot.instruments.list())
    storage.instruments.create(instrument)
  storage.editions.create({ id: edition.id, files: [], publishedBy: null, note: 'For practice' })
  const positionId = place(
    storage,
    equipment,
    factsAt(knowledge, equipment, hidden),
    clock(),
    practice,
    exercise.id,
  )
  storage.faults.create({
    ...{ id: faultId, positionId, tree: tree.slug, editionId: edition.id, symptom: tree.symptom },
    ...{ reportedAt: clock().toISOString(), reportedBy: 'The signaller (practice)', recordedBy: person.id },
    ...{ noticed: `${capitalize(tree.symptom)}.`, protection: 'kept', conditions: [] },
    intermittent: tree.slug.startsWith('intermittent'),
  })
}

/** What its record says, of the case supply and the indication it hangs on too: walks go on into their trees. */
function factsAt({ equipment }: Knowledge, own: Equipment, { world }: HiddenAt): PositionFacts {
  const others = [...equipment.values()].map(one => recordOf(world.site, one))
  return Object.assign({}, ...others, recordOf(world.site, own))
}

const DAY = 86_400_000

/** An invented position with its look-alike beside it. */
function place(
  storage: Storage,
  equipment: Equipment,
  facts: PositionFacts,
  now: Date,
  practice: PracticeHost | null | undefined,
  seed: string,
): string {
  const number = 100 + 2 * (practice?.chance(`${seed} place`).whole(1, 90) ?? 1)
  const inService = new Date(now.getTime() - 1500 * DAY).toISOString()
  storage.sites.create({
    ...{ id: 'practice', name: 'Practice site', line: 'Practice line', mileage: '0 m 00 ch' },
    access: 'None: this site is invented.',
  })
  for (const [n, id] of ['here', 'beside'].entries()) {
    const code = `PX ${number + 2 * n}`
    const name = `${capitalize(facts.duty ?? equipment.name)}, ${code}`
    const indicated = facts.indication !== 'none'
    const { slug } = equipment
    storage.positions.create({
      ...{ id, siteId: 'practice', name, equipment: slug, plate: `${code} ${n === 0 ? 'A' : 'B'}` },
      ...{ indicated, inService, outOfService: null, facts },
    })
  }
  fitUnits(storage, equipment, facts, inService)
  return 'here'
}

function fitUnits(storage: Storage, equipment: Equipment, facts: PositionFacts, fittedAt: string): void {
  for (const kind of new Set(equipment.units.map(unit => unit.kind))) {
    const fitting = fittingVariants(equipment, facts, kind).find(one => one.fit.ok)
    if (!fitting) continue
    const id = `unit ${kind}`
    storage.units.create({
      id,
      kind,
      serial: `PX-${kind.length}${kind.charCodeAt(0)}`,
      variant: fitting.unit.variant,
    })
    storage.units.fit({ id: `${id} fitted`, unitId: id, positionId: 'here', fittedAt })
  }
}

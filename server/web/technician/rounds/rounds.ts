import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import type { Equipment, FaultTree } from '../../../knowledge/types.ts'
import type { Position } from '../../../storage/storage.ts'
import { narrate } from '../../../walk/narrate.ts'
import type { Deps } from '../../deps.ts'
import { firstStepsWay } from '../../first-steps-way.ts'
import { formAgain, page, redirect, redirectAfterWrite } from '../../host/answer.ts'
import { formId, readForm, words } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import type { Choice } from '../../partials.ts'
import { shownCaution } from '../../shown-caution.ts'
import { isPlateOf } from '../attend/identity.ts'
import { narratedEntries } from '../in-hand/narrated-entries.ts'
import { disturbedInRound, dueTable, listLinks, roundRows, shownLists } from './round-rows.ts'
import { dueWords } from './rounds-due.ts'
import { endsHow, entriesOf, nextRoundAddress, placeInRound, readRound } from './rounds-in-hand.ts'

const begun = z.object({
  id: formId,
  tree: words('Choose the round.', 100),
  typed: words('Type the code as it stands on the plate.', 60),
})
const perPage = 100

/** Every position with when it was last seen healthy, what is overdue first. */
export const index = (deps: Deps) => (req: Request) => {
  const search = typeof req.query.search === 'string' ? req.query.search.trim().slice(0, 100) : ''
  const show = shownLists.find(one => one === req.query.show) ?? 'due'
  const all = deps.storage.visits.listDue({ search }).map(row => ({ ...row, ...dueWords(deps, row) }))
  const wanted = all.filter(
    row => show === 'all' || (show === 'due' ? row.mark.kind !== 'in' : !row.indicated),
  )
  const from = Math.min(Math.max(0, Math.floor(Number(req.query.from) || 0)), wanted.length)
  const counts = {
    all: all.length,
    overdue: all.filter(row => row.mark.word === 'overdue').length,
    due: all.filter(row => row.mark.kind === 'open').length,
    withoutInterval: all.filter(row => row.intervalDays === null).length,
    unseen: all.filter(row => !row.indicated).length,
  }
  return page('technician/rounds/rounds', {
    title: 'Rounds',
    desk: true,
    search,
    show,
    counts,
    table: {
      ...dueTable(wanted.slice(from, from + perPage), show, person(req).role === 'technician'),
      emptyWay: all.length === 0 ? firstStepsWay(req) : null,
    },
    lists: listLinks(show, search, counts),
    pager: pagerOf({ search, show }, from, wanted.length),
  })
}

/** Before the first check: the cautions, which round, and the plate. */
export const add = (deps: Deps) => (req: Request) => {
  const position = deps.storage.positions.get(String(req.params.position))
  return page('technician/rounds/round-new', locals(deps, position))
}

export const create = (deps: Deps) => (req: Request) => {
  const position = deps.storage.positions.get(String(req.params.position))
  const shown = locals(deps, position)
  const form = readForm(begun, req)
  if (!form.ok) return formAgain('technician/rounds/round-new', { ...shown, ...form })
  const { id, tree, typed } = form.data
  if (!shown.trees.some(one => one.slug === tree))
    throw new AppError('invalid', 'There is no such round here.')
  if (!isPlateOf(typed, position.plate, deps.storage.positions.neighbours(position.id))) {
    const errors = { typed: mistaken(deps, position, typed) }
    return formAgain('technician/rounds/round-new', { ...shown, values: req.body, errors })
  }
  const { id: editionId } = deps.library.current()
  const visit = { id, positionId: position.id, tree, editionId, by: person(req).id, plate: typed }
  deps.storage.visits.start(visit)
  return redirectAfterWrite(deps, req, id, `/rounds/${id}/next`)
}

/** The record of a visit; readable by everyone, at any time. */
export const show = (deps: Deps) => (req: Request) => {
  const round = readRound(deps, req)
  const { visit, end } = round.record
  const faultReported = deps.storage.visits
    .listByPosition(visit.positionId)
    .some(one => one.id === visit.id && one.faultReported)
  return page('technician/rounds/round', {
    title: `Round: ${round.position.siteName}, ${round.position.name}`,
    round,
    end,
    faultReported,
    place: placeInRound(round),
    how: endsHow(round),
    rows: roundRows(deps.times, round, faultReported),
    told: narratedEntries(narrate(round.knowledge, visit.tree, entriesOf(round.record)), deps.times),
    disturbed: disturbedInRound(deps.times, round),
    next: round.mine ? nextRoundAddress(round) : null,
    mayReport: ['technician', 'engineer'].includes(person(req).role),
  })
}

/** Sends the technician on to whatever page comes next. */
export const next = (deps: Deps) => (req: Request) => {
  return redirect(nextRoundAddress(readRound(deps, req)))
}

/** The rounds there are for a position's equipment, in the edition in use. */
export function roundsOf(deps: Deps, position: Position): FaultTree[] {
  const { trees } = deps.library.current().knowledge
  return [...trees.values()].filter(tree => tree.kind === 'round' && tree.equipment === position.equipment)
}

function locals(deps: Deps, position: Position) {
  const equipment: Equipment | undefined = deps.library.current().knowledge.equipment.get(position.equipment)
  const trees = roundsOf(deps, position)
  const cautions = [...(equipment?.cautions ?? []), ...trees.flatMap(tree => tree.cautions)]
  return {
    title: 'Begin a round',
    position,
    trees,
    values: {},
    cautions: cautions.map(shownCaution),
    rounds: treeChoices(trees),
    lookAlikes: deps.storage.positions
      .neighbours(position.id)
      .map(one => one.name)
      .join(', '),
    openFaults: deps.storage.faults.listByPosition(position.id, 20).filter(fault => fault.closedAt === null),
  }
}

function mistaken(deps: Deps, position: Position, typed: string): string {
  const others = deps.storage.positions.neighbours(position.id)
  const other = others.find(one => isPlateOf(typed, one.plate, [position]))
  return other
    ? `“${typed}” is the plate of ${other.name}. You are at the wrong equipment: find ${position.name}.`
    : `“${typed}” is not the plate of this position. Read it again; if it is right, the records are wrong: report that and do not go on.`
}

function pagerOf(query: { search: string; show: string }, from: number, of: number) {
  const href = (start: number) => `/rounds?${new URLSearchParams({ ...query, from: String(start) })}`
  return {
    label: 'Pages of the list',
    from: of === 0 ? 0 : from + 1,
    to: Math.min(of, from + perPage),
    of,
    before: from > 0 ? href(Math.max(0, from - perPage)) : null,
    after: from + perPage < of ? href(from + perPage) : null,
  }
}

/** The rounds there are, by their titles. */
function treeChoices(trees: FaultTree[]): Choice[] {
  return trees.map(({ slug, title, checks }) => ({
    value: slug,
    label: title,
    hint: `${checks.size} checks`,
  }))
}

import { z } from 'zod'
import { memo } from '../../../cache.ts'
import { AppError } from '../../../errors.ts'
import { findCheck } from '../../../knowledge/graph.ts'
import type { FaultTree } from '../../../knowledge/types.ts'
import { temperatureWords } from '../../../measurement/readings/air-temperature.ts'
import type { FieldReport, Position } from '../../../storage/storage.ts'
import { happenedBefore } from '../../../times.ts'
import { protectionWords } from '../../../walk/protection.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirect, redirectAfterWrite } from '../../host/answer.ts'
import { formId, oneOf, optionalWords, readForm, ticked, words } from '../../host/read-form.ts'
import { optionalTime } from '../../host/read-time.ts'
import { person, type Request } from '../../host/request.ts'
import { actionsOf } from '../actions/actions.ts'
import { isHeldBy, nextAddress, readFault } from '../in-hand/fault-in-hand.ts'
import { placeInWalk } from '../in-hand/place-in-walk.ts'
import { filledFromVisit } from '../rounds/rounds-end.ts'
import { backBy } from './back-by.ts'
import { anyFilled, conditionFields, conditionRows, symptomChoices } from './condition-fields.ts'
import { evidenceOf } from './evidence.ts'
import { attendancesBefore, repeatsHere } from './position-history.ts'
import { temperature } from './report-temperature.ts'

const conditionNames = ['time of day', 'weather', 'train passing', 'recent work nearby', 'how long it lasted']

const newFault = memo((deps: Deps) =>
  z.object({
    id: formId,
    position: words('Choose the position.'),
    tree: words('Choose what was noticed.'),
    reportedBy: words('Say who reported it.', 200),
    reportedAt: optionalTime(deps, happenedBefore),
    noticed: words('Say what was noticed, in their words.'),
    protection: oneOf(['kept', 'lost', 'not known'], 'Say whether train protection was lost.'),
    intermittent: ticked,
    ...Object.fromEntries(conditionNames.map((_, n) => [`condition${n}`, optionalWords(300)])),
    temperature: temperature(),
  }),
)

export const index = (deps: Deps) => (req: Request) => {
  const open = deps.storage.faults.listOpen()
  return page('technician/report/faults', {
    title: 'Faults',
    mine: open.filter(fault => fault.attendedById === person(req).id),
    others: open.filter(fault => fault.attendedById !== person(req).id),
    // A tablet shows the way too: where there is no signal the page behind it says so.
    practises: !deps.practising,
    actions: actionsOf(deps, person(req).id),
    answers: deps.storage.reports.unread(person(req).id),
    checkTitle: (report: FieldReport) => reportedCheck(deps, report),
  })
}

export const create = (deps: Deps) => (req: Request) => {
  const form = readForm(newFault(deps), req)
  const position = findPosition(deps, String(req.body?.position ?? ''))
  if (!form.ok) return formAgain('technician/report/fault-new', { ...newLocals(deps, position), ...form })
  const { data } = form
  const tree = treesOf(deps, position).find(one => one.slug === data.tree)
  if (!tree)
    throw new AppError('invalid', 'That symptom has no fault tree for this equipment. Choose another.')
  deps.storage.faults.create({
    id: data.id,
    positionId: position.id,
    tree: tree.slug,
    editionId: deps.library.current().id,
    symptom: tree.symptom,
    // Left empty, it means now.
    reportedAt: data.reportedAt ?? deps.clock().toISOString(),
    reportedBy: data.reportedBy,
    recordedBy: person(req).id,
    noticed: data.noticed,
    protection: data.protection,
    intermittent: data.intermittent,
    conditions: conditionsOf(data),
  })
  return redirectAfterWrite(deps, req, data.id, `/faults/${data.id}`)
}

export const add = (deps: Deps) => (req: Request) => {
  const id = typeof req.query.position === 'string' ? req.query.position : ''
  if (!id) return redirect('/positions')
  const values = filledFromVisit(deps, req.query.visit, id)
  return page('technician/report/fault-new', { ...newLocals(deps, findPosition(deps, id)), values })
}

/** The fault's own page; for the person who has it in hand, with the place where the walk stands. */
export const show = (deps: Deps) => (req: Request) => {
  const fault = readFault(deps, req)
  return page('technician/report/fault', {
    title: `${fault.position.siteName}: ${fault.position.name}`,
    fault,
    record: fault.record,
    protection: protectionWords[fault.record.fault.protection],
    evidence: evidenceOf(fault.record),
    conditions: conditionRows(fault.record.conditions),
    attendance: fault.attendance,
    place: placeInWalk(fault),
    repeatDays: deps.config.repeatWindowDays,
    next: fault.mine ? nextAddress(fault) : null,
    handover: fault.handedOver,
    takesBack: fault.handedOver?.by === person(req).id,
    history: attendancesBefore(deps, fault.position.id, fault.record.fault.id),
    repeats: repeatsHere(deps, fault),
    earlier: deps.storage.faults.countEarlier(
      fault.position.id,
      fault.record.fault.reportedAt,
      deps.config.repeatWindowDays,
    ),
    notes: deps.storage.engineerNotes.listByFault(fault.record.fault.id),
    backBy: backBy(deps, fault),
  })
}

/** Sends the technician on to whatever page comes next. */
export const next = (deps: Deps) => (req: Request) => {
  const fault = readFault(deps, req)
  return redirect(isHeldBy(fault, person(req).id) ? nextAddress(fault) : `/faults/${fault.record.fault.id}`)
}

function newLocals(deps: Deps, position: Position) {
  return {
    title: 'Report a fault',
    position,
    symptoms: symptomChoices(treesOf(deps, position)),
    conditions: conditionFields(conditionNames),
    anyFilled,
    history: attendancesBefore(deps, position.id, null),
    now: deps.clock().toISOString(),
  }
}

function treesOf(deps: Deps, position: Position): FaultTree[] {
  const trees = [...deps.library.current().knowledge.trees.values()]
  const withdrawn = new Set(deps.storage.publications.withdrawnTrees().map(one => one.tree))
  return trees.filter(
    tree => tree.equipment === position.equipment && tree.kind === 'fault' && !withdrawn.has(tree.slug),
  )
}

function findPosition(deps: Deps, id: string): Position {
  if (!id) throw new AppError('invalid', 'Choose the position first.')
  return deps.storage.positions.get(id)
}

function conditionsOf(data: Record<string, unknown>): { name: string; value: string }[] {
  const noted = typeof data.temperature === 'number' ? [data.temperature] : []
  const words = conditionNames.flatMap((name, n) => {
    const value = data[`condition${n}`]
    return typeof value === 'string' ? [{ name, value }] : []
  })
  return [...words, ...noted.map(celsius => ({ name: 'temperature', value: temperatureWords(celsius) }))]
}

/** The check a report is about, by the edition it was made on. */
function reportedCheck(deps: Deps, { editionId, tree, check }: FieldReport): string {
  const knowledge = deps.library.edition(editionId)?.knowledge
  return (knowledge && findCheck(knowledge, { tree, check })?.title) ?? check.replaceAll('-', ' ')
}

// Where practice begins, and what is told of it afterwards: pages of the depot that hold nothing of its faults.

import { z } from 'zod'
import type { Site } from '../../circuit/world.ts'
import { AppError } from '../../errors.ts'
import { renderMarkdown } from '../../knowledge/render.ts'
import type { FaultTree } from '../../knowledge/types.ts'
import type { PracticeResult, SlowCause } from '../../storage/practice/results.ts'
import { capitalize } from '../../words.ts'
import type { Deps } from '../deps.ts'
import { formAgain, page, redirect } from '../host/answer.ts'
import { readForm } from '../host/read-form.ts'
import { person, type Request } from '../host/request.ts'
import { type Choice, columns, numbers, row, type Table } from '../partials.ts'
import { causeTitle } from '../titles.ts'
import { type Afterwards, end, type How, type Misled } from './ending.ts'
import { dropExercise, exerciseOf, worldAddress } from './exercises.ts'
import { begin, causesOf, type Wanted } from './hiding.ts'
import { siteOf } from './site-of.ts'

const duties = ['train stop', 'overspeed', 'speed restriction', 'buffer stop'] as const
const cables = { short: [30, 80], long: [300, 430] } as const

const hiding = z.object({
  tree: z.string().max(100).default(''),
  duty: z.enum(duties).or(z.literal('')).catch(''),
  cable: z.enum(['short', 'long', '']).catch(''),
  rare: z.enum(['as it comes', 'rare']).catch('as it comes'),
  /** A fault that the depot had. */
  fault: z.string().max(100).default(''),
})

const MOST_SHOWN = 20

export const index = (deps: Deps) => (req: Request) => page('practice/practice', indexLocals(deps, req))

function indexLocals(deps: Deps, req: Request) {
  const exercise = deps.practice ? exerciseOf(deps, person(req).id) : null
  const going = exercise && !exercise.practising.result
  return {
    title: 'Practice',
    practised: true,
    can: Boolean(deps.practice),
    going: going ? `${worldAddress}/faults/${exercise.faultId}` : null,
    fields: choicesOf(deps),
    past: pastTable(deps, deps.practice?.results.listOf(person(req).id, MOST_SHOWN) ?? []),
    engineer: person(req).role === 'engineer',
  }
}

export const start = (deps: Deps) => (req: Request) => {
  const form = readForm(hiding, req)
  if (!form.ok) return formAgain('practice/practice', { ...indexLocals(deps, req), ...form })
  const exercise = begin(deps, req, deps.library.current(), wantedBy(deps, form.data))
  return redirect(`${worldAddress}/faults/${exercise.faultId}`)
}

function wantedBy(deps: Deps, { tree, duty, cable, rare, fault }: z.output<typeof hiding>): Wanted {
  if (fault) {
    const { fault: had } = deps.storage.faults.get(fault)
    return { tree: had.tree, rare, site: siteOf(deps.storage.positions.get(had.positionId).facts) }
  }
  const site: Partial<Site> = {
    ...(duty ? { duty } : {}),
    ...(cable ? { cableLength: lengthOf(deps, cable) } : {}),
  }
  return { tree: tree || null, rare, site }
}

function lengthOf(deps: Deps, cable: keyof typeof cables): number {
  const [least, most] = cables[cable]
  return least + (deps.clock().getTime() % (most - least))
}

/** Gives the exercise up, and tells what it was. */
export const stop = (deps: Deps) => (req: Request) => {
  const exercise = exerciseOf(deps, person(req).id)
  return redirect(exercise ? `/practice/results/${end(deps, exercise, req, 'stopped')}` : '/practice')
}

/** Throws away all that is kept of the person's practice. */
export const forget = (deps: Deps) => (req: Request) => {
  dropExercise(deps, person(req).id)
  deps.practice?.results.forget(person(req).id)
  return redirect('/practice')
}

export const result = (deps: Deps) => (req: Request) => {
  const found = deps.practice?.results.find(String(req.params.result), person(req).id)
  if (!found) throw new AppError('not found', 'There is no such exercise of yours.')
  const told = JSON.parse(found.content) as Afterwards
  const exercise = exerciseOf(deps, person(req).id)
  return page('practice/afterwards', {
    title: `It was: ${told.cause.title}`,
    practised: true,
    back: { href: '/practice', text: 'Practice' },
    told: { ...told, remedy: renderMarkdown(told.cause.remedy), outcome: outcomeWords(deps, told) },
    ...{ paths: pathTable(told), misled: misledTable(told.misled) },
    record: exercise?.id === found.id ? `${worldAddress}/faults/${exercise.faultId}/record` : null,
  })
}

/** Fewer people than this, and a cause would speak of one of them. */
const TOGETHER = 5

/** Which causes are found slowly, of all who practise together. */
export const causes = (deps: Deps) => (_req: Request) =>
  page('practice/causes', {
    title: 'Causes found slowly in practice',
    practised: true,
    back: { href: '/practice', text: 'Practice' },
    together: TOGETHER,
    table: slowTable(deps, deps.practice?.results.slowCauses(TOGETHER) ?? []),
  })

function choicesOf(deps: Deps) {
  const { knowledge } = deps.library.current()
  const trees = [...knowledge.trees.values()].filter(
    tree => tree.kind === 'fault' && causesOf(knowledge, tree).length > 0,
  )
  return {
    trees: [any('Anything'), ...trees.map(treeChoice)],
    duties: [any('Any duty'), ...duties.map(duty => ({ value: duty, label: capitalize(duty) }))],
    cables: [
      any('Any cable'),
      { value: 'short', label: 'A short cable' },
      { value: 'long', label: 'A long cable' },
    ],
    rare: [
      { value: 'as it comes', label: 'As often as causes come' },
      { value: 'rare', label: 'Mostly the rare causes' },
    ],
    faults: faultChoices(deps, new Set(trees.map(({ slug }) => slug))),
  }
}

const any = (label: string): Choice => ({ value: '', label })
const treeChoice = ({ slug, symptom }: FaultTree): Choice => ({ value: slug, label: capitalize(symptom) })

function faultChoices(deps: Deps, trees: ReadonlySet<string>): Choice[] {
  const open = deps.storage.faults
    .listOpen()
    .filter(({ id }) => trees.has(deps.storage.faults.get(id).fault.tree))
  return open.slice(0, MOST_SHOWN).map(fault => ({
    value: fault.id,
    label: `${capitalize(fault.symptom)}: ${fault.positionName}, ${deps.times.day(fault.reportedAt)}`,
  }))
}

function pastTable(deps: Deps, results: PracticeResult[]): Table {
  return {
    caption: 'What you practised. Nobody else sees this.',
    columns: columns('Ended', 'It was', 'Found', numbers('Minutes')),
    rows: results.map(one =>
      row(
        { text: deps.times.moment(one.endedAt), href: `/practice/results/${one.id}` },
        causeTitle(deps, one.cause),
        one.found ? 'yes' : 'no',
        String(Math.round(one.minutes)),
      ),
    ),
    empty: 'Nothing yet.',
  }
}

const HOW: Record<How, string> = {
  closed: 'You closed the fault.',
  stopped: 'You stopped before the end.',
  proceed: 'The exercise was ended.',
  insulation: 'The exercise was ended.',
  plate: 'The exercise was ended.',
}

function outcomeWords(deps: Deps, { how, found, said, cause }: Afterwards): string {
  if (found) return 'You found it and mended it.'
  if (said && said !== cause.key) return `You closed it as “${causeTitle(deps, said)}”, and it was not that.`
  return `${HOW[how]} The cause was not mended.`
}

/** The three ways beside each other, check by check. */
function pathTable({ path, author, best, came }: Afterwards): Table {
  const ways = [path, author, best]
  const longest = Math.max(...ways.map(way => way.length))
  const sum = (way: Afterwards['path']) => `${way.reduce((all, { minutes }) => all + minutes, 0)} minutes`
  const cell = (way: Afterwards['path'], at: number) => {
    const step = way[at]
    return step ? { text: step.title, note: `${step.found}, ${step.minutes} min` } : { text: '' }
  }
  return {
    caption: 'The ways to it, with the minutes that the tree gives each check',
    captionHidden: true,
    columns: columns('Step', 'Your way', 'The author’s order', 'The best order'),
    rows: [
      ...Array.from({ length: longest }, (_, at) => row(String(at + 1), ...ways.map(way => cell(way, at)))),
      row('Together', ...ways.map(sum)),
      row('Came to', '', came.author, came.best),
    ],
  }
}

function misledTable(misled: Misled[]): Table {
  return {
    caption: 'Readings that misled, and why',
    captionHidden: true,
    columns: columns('Check', 'Recorded', 'Why'),
    rows: misled.map(({ title, recorded, why }) => row(title, recorded, why)),
    empty: 'None: what you recorded is what there was.',
  }
}

function slowTable(deps: Deps, slow: SlowCause[]): Table {
  return {
    caption: 'Slowest first',
    columns: columns(
      'Cause',
      numbers('People'),
      numbers('Exercises'),
      numbers('Found'),
      numbers('Minutes each'),
    ),
    rows: slow.map(one =>
      row(
        causeTitle(deps, one.cause),
        ...[one.people, one.exercises, one.found, Math.round(one.minutes)].map(String),
      ),
    ),
    empty: 'No cause has been hidden from five people yet.',
  }
}

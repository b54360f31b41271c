// A draft practised, and what the robot makes of it: hidden faults walked one after the other while nobody waits.

import { memo } from '../../cache.ts'
import { causeKey, reachable } from '../../knowledge/graph.ts'
import type { Cause, FaultTree, Knowledge } from '../../knowledge/types.ts'
import { FAULTS } from '../../practice/causes.ts'
import { type Outcome, type Result, tryCause } from '../../practice/results.ts'
import type { Draft } from '../../storage/storage.ts'
import { draftTree } from '../author/drafts/draft-views.ts'
import type { Deps } from '../deps.ts'
import { page, redirect } from '../host/answer.ts'
import type { Request } from '../host/request.ts'
import { columns, numbers, row, type Table } from '../partials.ts'
import { worldAddress } from './exercises.ts'
import { begin, causesOf } from './hiding.ts'

/** Faults that the robot walks for each cause of a draft. */
const EACH = 3

interface Trial {
  results: Result[]
  /** Faults hidden so far, of all. */
  done: number
  of: number
  /** Why it broke off; null where it did not. */
  broke: string | null
}

const trials = memo((_host: NonNullable<Deps['practice']>) => new Map<string, Trial>())

export const show = (deps: Deps) => (req: Request) => {
  const { draft, checked, tree } = draftTree(deps, req)
  const trial = trialOf(deps, draft, checked.knowledge, tree)
  return page('practice/draft', {
    title: `Practise ${tree.title}`,
    desk: true,
    back: { href: `/drafts/${draft.id}`, text: 'The draft' },
    draft,
    can: Boolean(deps.practice),
    ...{ walked: trial?.done ?? 0, of: trial?.of ?? 0, broke: trial?.broke ?? null },
    going: trial !== null && trial.done < trial.of,
    table: causesTable(reachable(checked.knowledge, tree).causes, trial?.results ?? []),
  })
}

/** Hides a fault in the tree under work, and walks it there. */
export const start = (deps: Deps) => (req: Request) => {
  const { draft, checked, tree } = draftTree(deps, req)
  const edition = {
    ...{ id: `draft ${draft.id} ${draft.head.id}`, publishedAt: draft.head.at, knowledge: checked.knowledge },
  }
  const exercise = begin(deps, req, edition, { tree: tree.slug, site: {}, rare: 'as it comes' })
  return redirect(`${worldAddress}/faults/${exercise.faultId}`)
}

/** Begun when first asked for; a text of the draft is tried once. */
function trialOf(deps: Deps, draft: Draft, knowledge: Knowledge, tree: FaultTree): Trial | null {
  const { practice } = deps
  if (!practice) return null
  const known = trials(practice)
  const had = known.get(draft.head.id)
  if (had) return had
  const causes = causesOf(knowledge, tree).flatMap(cause => Array<string>(EACH).fill(causeKey(cause)))
  const trial: Trial = { results: [], done: 0, of: causes.length, broke: null }
  known.set(draft.head.id, trial)
  walkNext(deps, trial, causes, key =>
    tryCause(knowledge, tree.slug, key, practice.chance(`robot ${trial.done}`)),
  )
  return trial
}

function walkNext(
  { host }: Deps,
  trial: Trial,
  causes: string[],
  walk: (key: string) => Result | null,
): void {
  const step = () => {
    const key = causes[trial.done]
    if (key === undefined) return
    trial.done += 1
    try {
      trial.results.push(...[walk(key) ?? []].flat())
      host.whenIdle(step)
    } catch (error) {
      // A tree under work may lead round in circles.
      trial.broke = error instanceof Error ? error.message : String(error)
      trial.of = trial.done
    }
  }
  host.whenIdle(step)
}

function causesTable(causes: Cause[], results: Result[]): Table {
  const count = (key: string, ...outcomes: Outcome[]) =>
    results.filter(one => one.cause === key && outcomes.includes(one.outcome)).length
  return {
    caption: 'What the robot made of each cause',
    columns: columns(
      'Cause',
      numbers('Reached'),
      numbers('Left open'),
      numbers('Wrong'),
      'Where it went instead',
    ),
    rows: causes.map(cause => {
      const key = causeKey(cause)
      const counts = [count(key, 'reached'), count(key, 'open'), count(key, 'wrong', 'false healthy')]
      return row(
        cause.title,
        ...counts.map(String),
        FAULTS.has(key) ? missed(key, results) : 'not in the model',
      )
    }),
    empty: 'The tree reaches no cause.',
  }
}

function missed(key: string, results: Result[]): string {
  const ended = results.filter(one => one.cause === key && one.outcome !== 'reached').map(one => one.ended)
  return [...new Set(ended)].slice(0, 3).join('; ')
}

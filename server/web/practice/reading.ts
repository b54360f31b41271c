// "Take the reading": what the instrument shows, or the eye sees, where the technician is at a check.

import { z } from 'zod'
import { findCheck, refKey, refOf } from '../../knowledge/graph.ts'
import type { Check } from '../../knowledge/types.ts'
import type { Range } from '../../measurement/limits/expectation.ts'
import { parseReading } from '../../measurement/readings/reading.ts'
import { judge } from '../../measurement/verdicts/verdict.ts'
import type { Chance } from '../../practice/chance.ts'
import { type Standing, seenNow } from '../../practice/course.ts'
import { type Danger, testsElectronics, worksOn } from '../../practice/dangers.ts'
import { type Asking, changes, pairOf, type Shown, showAt } from '../../practice/measured.ts'
import type { Deps } from '../deps.ts'
import { redirect } from '../host/answer.ts'
import { readForm, ticked } from '../host/read-form.ts'
import type { Request } from '../host/request.ts'
import { expectedRange } from '../technician/check/judged.ts'
import { gateFields } from '../technician/check/reading-fields.ts'
import { checkOf, type FaultInHand } from '../technician/in-hand/fault-in-hand.ts'
import { instrumentAt } from '../technician/instruments/chosen.ts'
import { alike, end } from './ending.ts'
import { type Exercise, inHand, type Reading, standing } from './exercises.ts'

const taking = z.object({
  tree: z.string().max(100).default(''),
  check: z.string().max(100).default(''),
  from: z.enum(['checks', 'proof']).catch('checks'),
  a: z.string().max(20).default(''),
  b: z.string().max(20).default(''),
  done: ticked,
})

/** Takes a reading and shows the check again, with the field filled in. Ends the exercise where it was a danger. */
export const take = (depot: Deps, exercise: Exercise) => (req: Request) => {
  const form = readForm(taking, req)
  const back = `/faults/${exercise.faultId}`
  if (!form.ok) return redirect(`${back}/next`)
  const { tree, check: slug, from, a, b, done } = form.data
  const fault = inHand(exercise, req)
  const check = checkOf(fault, { tree, check: slug })
  const now = standing(exercise, fault)
  const { range } = expectedRange(fault, check)
  const asking: Asking = {
    ...{
      check,
      done: done || !changes(check, now.state),
      instrument: instrumentAt(exercise.deps, req, fault, check),
    },
    ...{ probes: a && b ? [a, b] : null, expected: range?.min ?? null },
  }
  const danger = dangerOf(exercise, asking, now)
  if (danger) return redirect(`/practice/results/${end(depot, exercise, req, danger)}`)
  exercise.readings.push(taken(exercise, depot, asking, now, range))
  const gate = new URLSearchParams(gateFields(req.body)).toString()
  return redirect(`${back}/${from}/${tree}/${slug}${gate && `?${gate}`}`)
}

function dangerOf({ practising: { train } }: Exercise, asking: Asking, { state }: Standing): Danger | null {
  if (train && worksOn(asking.check)) return 'proceed'
  return testsElectronics(asking, state) ? 'insulation' : null
}

function taken(
  exercise: Exercise,
  { practice, clock }: Deps,
  asking: Asking,
  { world, state }: Standing,
  range: Range | null,
): Reading {
  const { check, instrument } = asking
  const key = refKey(refOf(check))
  if (!practice) throw new Error('no practice')
  const chance = () => practice.chance(`${exercise.id} ${instrument?.id ?? 'usual'} ${key}`)
  const shown = showAt(asking, world, state, chance())
  const asSaid = { ...asking, done: true, probes: null, instrument: null }
  const right = showAt(asSaid, world, state, withoutError(chance()))
  const why = whyNot(asking, shown, right, range)
  return {
    ...shown,
    at: clock().toISOString(),
    key,
    title: check.title,
    probes: asking.probes,
    right: said(right),
    why,
  }
}

function withoutError(chance: Chance): Chance {
  return { ...chance, between: (low, high) => (low + high) / 2 }
}

const said = ({ text, word, says }: Shown) => text || word || says

function whyNot(
  { check, probes, done }: Asking,
  shown: Shown,
  right: Shown,
  range: Range | null,
): string | null {
  if (alike(said(shown), said(right))) return null
  const would = `Done as the check says, it shows ${said(right)}.`
  if (probes && probes.join() !== pairOf(check)?.join())
    return `The probes were on ${probes.join(' and ')}. ${would}`
  if (!done) return `It was taken before this was done: ${check.disturbs ?? 'what the check says'}. ${would}`
  const tipped = verdictOf(check, shown, range) !== verdictOf(check, right, range)
  return tipped ? `The instrument’s own error: without it, it shows ${said(right)}.` : null
}

function verdictOf({ does }: Check, { text }: Shown, range: Range | null): string | null {
  const parsed = does.kind === 'measure' ? parseReading(text, does.unit, range) : null
  return parsed?.ok ? judge(parsed.reading, range).side : null
}

/** What the panel beside a check shows. */
export function panelOf(
  exercise: Exercise,
  fault: FaultInHand,
  check: Check,
  from: 'checks' | 'proof',
  req: Request,
) {
  const now = standing(exercise, fault)
  const key = refKey(refOf(check))
  const last = exercise.readings.findLast(one => one.key === key)
  const pair = pairOf(check)
  return {
    ...{ at: `/faults/${exercise.faultId}`, check, from, last },
    ...{ measures: check.does.kind === 'measure', seen: seenNow(now), happened: now.happened },
    done: changes(check, now.state) ? (check.disturbs ?? 'What the instruction says') : null,
    probes: pair && {
      a: last?.probes?.[0] ?? pair[0],
      b: last?.probes?.[1] ?? pair[1],
      options: terminals(exercise),
    },
    confirmed: Object.keys(gateFields(req.query)),
  }
}

/** Every terminal that a check of these trees names, and earth. */
function terminals({ knowledge }: Exercise): string[] {
  const named = [...knowledge.trees.values()].flatMap(({ checks }) =>
    [...checks.values()].flatMap(({ does }) => (does.kind === 'measure' ? does.between : [])),
  )
  return [...new Set([...named, 'E1'])].sort()
}

/** The check that a form answers; null where it names none. */
export function answered({ knowledge }: Exercise, req: Request): Check | null {
  const { tree, check } = { ...req.params, ...req.body } as Record<string, unknown>
  return findCheck(knowledge, { tree: String(tree), check: String(check) })
}

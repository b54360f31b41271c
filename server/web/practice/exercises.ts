// The exercises under way: one for each person, each with a database of its own that goes when the next begins.

import { memo } from '../../cache.ts'
import { AppError } from '../../errors.ts'
import type { Knowledge } from '../../knowledge/types.ts'
import { type Standing, standingAfter } from '../../practice/course.ts'
import type { HiddenAt } from '../../practice/hide-at.ts'
import type { Person } from '../../storage/storage.ts'
import type { Deps, Practising } from '../deps.ts'
import type { Request } from '../host/request.ts'
import { type FaultInHand, readFault } from '../technician/in-hand/fault-in-hand.ts'

/** Below this address the pages of a technician are about a hidden fault. */
export const worldAddress = '/practice/world'

export interface Exercise {
  id: string
  person: Person
  /** What the handlers of its world use. */
  deps: Deps
  practising: Practising
  faultId: string
  /** Faults of it that were passed on before, where the symptom was reported anew under another tree. */
  before: string[]
  hidden: HiddenAt
  knowledge: Knowledge
  /** What the instrument showed at each check, `tree#check`, newest last. */
  readings: Reading[]
  plateRead: boolean
  waited: number
}

/** A reading as it was taken, beside what the check asks for. */
export interface Reading {
  /** When it was taken, UTC ISO text. */
  at: string
  key: string
  title: string
  text: string
  word: string
  says: string
  probes: [string, string] | null
  /** What would have been shown had all been done as the check says, by an instrument without error. */
  right: string
  /** Why it is not what the check asks for; null where it is. */
  why: string | null
}

/** Exercises that are kept at once; the oldest goes for a new one. */
const MOST = 60

const underWay = memo((_host: NonNullable<Deps['practice']>) => new Map<string, Exercise>())

function exercisesOf({ practice }: Deps): Map<string, Exercise> {
  if (!practice)
    throw new AppError('unavailable', 'Practice needs signal: the model of the equipment is in the depot.')
  return underWay(practice)
}

/** The person's exercise, ended or not; null without one. */
export function exerciseOf(deps: Deps, personId: string): Exercise | null {
  return exercisesOf(deps).get(personId) ?? null
}

/** In place of the one before, which is gone with its database. */
export function keepExercise(deps: Deps, exercise: Exercise): void {
  const all = exercisesOf(deps)
  all.delete(exercise.person.id)
  const [oldest] = all.keys()
  if (all.size >= MOST && oldest !== undefined) all.delete(oldest)
  all.set(exercise.person.id, exercise)
}

export function dropExercise(deps: Deps, personId: string): void {
  exercisesOf(deps).delete(personId)
}

/** The hidden fault as its record stands. */
export function inHand({ deps, faultId }: Exercise, req: Request): FaultInHand {
  return readFault(deps, { ...req, params: { fault: faultId } })
}

export function standing({ knowledge, hidden }: Exercise, fault: FaultInHand): Standing {
  return standingAfter(knowledge, hidden, fault.record, fault.disturbed)
}

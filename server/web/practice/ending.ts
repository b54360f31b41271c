// An exercise ends: what it was is put together once, and kept for the person alone.

import { refKey } from '../../knowledge/graph.ts'
import { parseReading } from '../../measurement/readings/reading.ts'
import { type Told, tell } from '../../practice/afterwards.ts'
import { type Danger, meant } from '../../practice/dangers.ts'
import { stillDisturbed } from '../../walk/disturbed.ts'
import type { Finding } from '../../walk/record.ts'
import type { Deps } from '../deps.ts'
import type { Request } from '../host/request.ts'
import type { FaultInHand } from '../technician/in-hand/fault-in-hand.ts'
import { type Exercise, inHand, type Reading, standing } from './exercises.ts'

export type How = 'closed' | 'stopped' | Danger

export interface Misled {
  title: string
  recorded: string
  why: string
}

/** What the afterwards page tells. */
export interface Afterwards extends Told {
  how: How
  found: boolean
  /** What ended it, where that was a danger. */
  danger: { title: string; words: string } | null
  said: string | null
  misled: Misled[]
  left: string[]
  happened: string[]
  waited: number
  minutes: number
}

/** Ends the exercise where it has not ended; gives the id of its afterwards page. */
export function end(depot: Deps, exercise: Exercise, req: Request, how: How): string {
  const { practice } = depot
  const { practising, id, person, hidden } = exercise
  if (practising.result || !practice) return practising.result ?? ''
  const told = afterwards(depot, exercise, inHand(exercise, req), how)
  practice.results.add({
    ...{
      id,
      personId: person.id,
      endedAt: depot.clock().toISOString(),
      cause: hidden.cause,
      tree: hidden.tree,
    },
    ...{ minutes: told.minutes, found: told.found, content: JSON.stringify(told) },
  })
  practising.result = id
  return id
}

function afterwards({ practice }: Deps, exercise: Exercise, fault: FaultInHand, how: How): Afterwards {
  const { knowledge, hidden, id } = exercise
  const { record } = fault
  const legs = [...exercise.before.map(fault => exercise.deps.storage.faults.get(fault)), record]
  const walked = legs.map(({ fault: { tree }, findings }) => ({ tree, findings }))
  const told = tell(knowledge, hidden, walked, () => {
    if (!practice) throw new Error('no practice')
    return practice.chance(`${id} paths`)
  })
  const { mended, happened } = standing(exercise, fault)
  const said = record.closure?.cause ?? null
  return {
    ...told,
    how,
    found: how === 'closed' && mended && said === hidden.cause,
    danger: how === 'closed' || how === 'stopped' ? null : meant[how],
    said,
    misled: misled(exercise, record.findings),
    left: stillDisturbed(fault.disturbed).map(({ item }) => item),
    happened,
    waited: exercise.waited,
    minutes: told.path.reduce((sum, step) => sum + step.minutes, exercise.waited),
  }
}

function misled({ readings }: Exercise, findings: Finding[]): Misled[] {
  return findings.flatMap(finding => {
    if (finding.kind !== 'reading' && finding.kind !== 'observation') return []
    const taken = readings.findLast(one => one.key === refKey(finding.check) && one.at <= finding.at)
    const recorded = finding.kind === 'reading' ? finding.text : finding.word
    const why = taken ? whyMisled(taken, recorded) : null
    return taken && why ? [{ title: taken.title, recorded, why }] : []
  })
}

function whyMisled(taken: Reading, recorded: string): string | null {
  const shown = taken.text || taken.word
  if (shown && !alike(shown, recorded)) return `The instrument or the eye said ${shown}.`
  return taken.why
}

/** Within a tenth, or the same words. */
export function alike(a: string, b: string): boolean {
  const [one, two] = [numberIn(a), numberIn(b)]
  if (one === null || two === null) return a.trim().toLowerCase() === b.trim().toLowerCase()
  return Math.abs(one - two) <= 0.1 * Math.max(Math.abs(one), Math.abs(two))
}

function numberIn(text: string): number | null {
  const unit = /[^\d.,\s>+-]+(?: [AD]C)?\s*$/.exec(text)?.[0]?.trim() ?? ''
  try {
    const parsed = parseReading(text, unit || 'V AC')
    return parsed.ok && parsed.reading.kind === 'value' ? parsed.reading.value : null
  } catch {
    return null
  }
}

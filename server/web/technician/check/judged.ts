import type { Check, Measures } from '../../../knowledge/types.ts'
import type { Instrument } from '../../../measurement/instruments/instrument.ts'
import type { Range } from '../../../measurement/limits/expectation.ts'
import type { Reading } from '../../../measurement/readings/reading.ts'
import { surprise } from '../../../measurement/readings/surprise.ts'
import type { Taken } from '../../../measurement/readings/taken.ts'
import { judge, type Verdict } from '../../../measurement/verdicts/verdict.ts'
import { expectedAt } from '../../../walk/expected.ts'
import type { Walk } from '../../../walk/place.ts'
import { aboutInsulation, gateOf } from './check-insulation.ts'
import { byVoltDrop, readWorked, type TypedParts, type WorkedReading } from './corrected-reading.ts'
import { suitabilityOf } from './suitability-words.ts'
import type { WalkInHand } from './walk-in-hand.ts'

/** `meant` answers the question a text like 1,234 raises; `confirmed` is the text a surprise was confirmed for. */
export type Typed = TypedParts & {
  confirmed?: string | undefined
  /** Wet or dry, for insulation. */
  wetOrDry?: 'dry' | 'wet' | '' | undefined
  instrument: Instrument | null
}

/** What came of a typed reading: judged, or errors by field, or a question back to the technician. */
export type Judged =
  | {
      ok: true
      text: string
      reading: Reading
      range: Range | null
      verdict: Verdict
      unusual: boolean
      taken: Taken | null
    }
  | { ok: false; errors: Record<string, string> }
  | { ok: false; ask: { question: string; choices: { text: string; means: string }[] } }
  | { ok: false; confirm: string; text: string }

/** The expected range of a check at this position now, or why it can't be worked out. */
export type Expected = { range: Range | null; problem: string | null }

export function expectedRange({ equipment, position, walk }: WalkInHand, check: Check): Expected {
  const known = ranges.get(walk) ?? new Map<Check, Expected>()
  const expected = known.get(check) ?? expectedAt(equipment, position.facts, walk, check)
  ranges.set(walk, known.set(check, expected))
  return expected
}

/** A walk is walked anew whenever anything about its fault or its position changes. */
const ranges = new WeakMap<Walk, Map<Check, Expected>>()

/** Reads and judges what was typed. `values` are the form's, for what was confirmed before the tester went on. */
export function judgeTyped(
  walk: WalkInHand,
  check: Check & { does: Measures },
  typed: Typed,
  values: Record<string, unknown> = {},
): Judged {
  const { range } = expectedRange(walk, check)
  const refused = refusal(check, range, typed, values)
  if (refused) return { ok: false, errors: refused }
  const worked = readWorked(askedBefore(typed, check, range), check.does.unit, range)
  if (!worked.ok) return worked
  const { text, reading, accuracy } = worked
  const doubt = surprise(reading, range)
  if (doubt && typed.confirmed !== text) return { ok: false, confirm: doubt, text }
  const { instrument } = typed
  const verdict = judge(reading, range, instrument, accuracy && instrument ? accuracy(instrument) : undefined)
  const taken = takenAs(check, worked, typed, values)
  return { ok: true, text, reading, range, verdict, unusual: doubt !== null, taken }
}

export function measures(check: Check): check is Check & { does: Measures } {
  return check.does.kind === 'measure'
}

/** Nothing is recorded that was read with the wrong instrument, or before the tester could safely go on. */
function refusal(
  check: Check & { does: Measures },
  range: Range | null,
  typed: Typed,
  values: Record<string, unknown>,
): Record<string, string> | null {
  const reasons = gateOf(check, values)?.reasons ?? []
  if (reasons.length > 0) return { dead: reasons.join(' ') }
  const { refusals } = suitabilityOf(check, range, typed.instrument, byVoltDrop(typed))
  return refusals.length > 0 ? { text: `Not recorded. ${refusals.join(' ')}` } : null
}

/** An answer counts only where it was one of the choices this very text offered. */
function askedBefore(typed: Typed, check: Check & { does: Measures }, range: Range | null): TypedParts {
  const { meant, ...parts } = typed
  if (!meant) return parts
  const first = readWorked(parts, check.does.unit, range)
  const offered = 'ask' in first && first.ask.choices.some(choice => choice.text === meant)
  return offered ? { ...parts, meant } : parts
}

function takenAs(
  check: Check,
  { correction }: WorkedReading,
  { wetOrDry }: Typed,
  values: Record<string, unknown>,
): Taken | null {
  const confirmed = gateOf(check, values)?.items.map(one => one.words) ?? []
  const weather = aboutInsulation(check) && wetOrDry ? wetOrDry : null
  if (!correction && !weather && confirmed.length === 0) return null
  return { correction, confirmed, wetOrDry: weather }
}

import { createObjectCache, memo } from '../../../cache.ts'
import type { Check, Measures } from '../../../knowledge/types.ts'
import { insulationGate } from '../../../measurement/electrics/insulation.ts'
import type { Instrument } from '../../../measurement/instruments/instrument.ts'
import {
  type InstrumentNeeds,
  instrumentNeeds,
  nothingStated,
  unsuitable,
} from '../../../measurement/instruments/suitability.ts'
import type { Range } from '../../../measurement/limits/expectation.ts'
import type { Reading } from '../../../measurement/readings/reading.ts'
import { surprise } from '../../../measurement/readings/surprise.ts'
import type { Taken } from '../../../measurement/readings/taken.ts'
import { judge, type Verdict } from '../../../measurement/verdicts/verdict.ts'
import { expectedAt } from '../../../walk/expected.ts'
import type { Walk } from '../../../walk/place.ts'
import type { WalkInHand } from '../in-hand/fault-in-hand.ts'
import { isByVoltDrop, readWorked, type TypedParts, type WorkedReading } from './corrected-reading.ts'

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
  return rangesOf(walk)(check, () => expectedAt(equipment, position.facts, walk, check))
}

/** A walk is walked anew whenever anything about its fault or its position changes. */
const rangesOf = memo((_walk: Walk) => createObjectCache<Check, Expected>())

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
  const { refusals } = suitabilityOf(check, range, typed.instrument, isByVoltDrop(typed))
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

export interface Suitability {
  /** Why a reading with this instrument is not recorded. */
  refusals: string[]
  /** What to mind before the reading is taken. */
  cautions: string[]
}

/** What a check needs of an instrument; null where it measures nothing. */
export function needsAt(walk: WalkInHand, check: Check): InstrumentNeeds | null {
  if (!measures(check)) return null
  return instrumentNeeds(check.instrument, check.does.unit, expectedRange(walk, check).range)
}

/**
 * The instrument in hand against what the check needs. By volt drop under load it must read volts; its ohms range, and
 * what that puts on the contact, then don't matter. Nothing to say where no instrument is named.
 */
export function suitabilityOf(
  check: Check & { does: Measures },
  range: Range | null,
  instrument: Instrument | null,
  voltDrop: boolean,
): Suitability {
  if (!instrument) return { refusals: [], cautions: [] }
  const needs = instrumentNeeds(check.instrument, check.does.unit, range)
  const wanted = voltDrop ? { ...needs, ...needsOfVoltDrop(check.does.unit) } : needs
  const objections = unsuitable(instrument, wanted)
  const reasonsOf = (severity: 'refuse' | 'caution') =>
    objections.filter(one => one.severity === severity).map(one => one.because)
  return { refusals: reasonsOf('refuse'), cautions: reasonsOf('caution') }
}

/** By volt drop under load it must read volts; its ohms range does not matter then. */
export function needsOfVoltDrop(unit: string): InstrumentNeeds {
  const volts = unit.endsWith('AC') ? 'V AC' : 'V DC'
  return { ...nothingStated, unit: volts }
}

/** What must be confirmed before an insulation tester is put on. */
const confirmations = [
  { name: 'dead', words: 'Proved dead, with a tester proved before and after' },
  { name: 'ends', words: 'Both ends are off' },
  { name: 'electronics', words: 'All electronics are disconnected' },
] as const

/** Above this a tester can destroy electronics; an ordinary meter stays well below. */
const HIGH_VOLTS = 50

export interface Gate {
  items: { name: string; words: string; ticked: boolean }[]
  /** Why the tester may not go on yet; empty when it may. */
  reasons: string[]
  /** True once anything was ticked: only then are the reasons a complaint. */
  begun: boolean
}

/** Is the check about insulation, so that the table of tests and wet or dry matter? */
export function aboutInsulation({ does }: Check): boolean {
  return does.kind === 'measure' && does.role === 'insulation'
}

/** What a check asks before the tester goes on, and what of it `values` confirm; null where it asks nothing. */
export function gateOf(check: Check, values: Record<string, unknown>): Gate | null {
  if (check.does.kind !== 'measure') return null
  const { testVoltage } = check.instrument
  if (!check.insulationTest && !(testVoltage !== null && testVoltage > HIGH_VOLTS)) return null
  const items = confirmations.map(one => ({ ...one, ticked: values[one.name] === 'yes' }))
  const ticked = (name: string) => items.some(one => one.name === name && one.ticked)
  const reasons = insulationGate({
    dead: ticked('dead'),
    bothEndsDisconnected: ticked('ends'),
    electronicsConnected: !ticked('electronics'),
  })
  return { items, reasons, begun: items.some(one => one.ticked) }
}

/** The confirmations on record, as the fields that gave them. */
export function confirmedFields(confirmed: string[]): Record<string, string> {
  const ticked = confirmations.filter(({ words }) => confirmed.includes(words))
  return Object.fromEntries(ticked.map(({ name }) => [name, 'yes']))
}

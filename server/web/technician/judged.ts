import type { Check, Measures } from '../../knowledge/types.ts'
import { type Range, resolveRange } from '../../measurement/expectation.ts'
import type { Instrument } from '../../measurement/instrument.ts'
import { type ParsedReading, parseReading, type Reading, surprise } from '../../measurement/reading.ts'
import { judge, type Verdict } from '../../measurement/verdict.ts'
import { expectationValues } from './expectation-values.ts'
import type { FaultInHand } from './fault-in-hand.ts'

/** `meant` answers the question a text like 1,234 raises; `confirmed` is the text a surprise was confirmed for. */
export interface Typed {
  text: string
  meant?: string | undefined
  confirmed?: string | undefined
  instrument: Instrument | null
}

/** What came of a typed reading: judged, or a question back to the technician. */
export type Judged =
  | { ok: true; text: string; reading: Reading; range: Range | null; verdict: Verdict; unusual: boolean }
  | { ok: false; error: string }
  | { ok: false; ask: { question: string; choices: { text: string; means: string }[] } }
  | { ok: false; confirm: string }

/** The expected range of a check at this position now, or why it can't be worked out. */
export type Expected = { range: Range | null; problem: string | null }

export function expectedRange(fault: FaultInHand, check: Check): Expected {
  if (check.does.kind !== 'measure' || !check.does.expectation) return { range: null, problem: null }
  const values = expectationValues(fault, check)
  const resolved = resolveRange(
    check.does.expectation,
    { values },
    { from: check.does.from, demo: check.does.demo },
  )
  return resolved.ok ? { range: resolved.range, problem: null } : { range: null, problem: resolved.message }
}

/** Reads and judges what was typed. */
export function judgeTyped(fault: FaultInHand, check: Check & { does: Measures }, typed: Typed): Judged {
  const { range } = expectedRange(fault, check)
  const parsed = readTyped(typed, check.does.unit, range)
  if (!parsed.ok) return parsed
  const doubt = surprise(parsed.reading, range)
  if (doubt && typed.confirmed !== typed.text) return { ok: false, confirm: doubt }
  const verdict = judge(parsed.reading, range, typed.instrument)
  return { ok: true, text: typed.text, reading: parsed.reading, range, verdict, unusual: doubt !== null }
}

function readTyped({ text, meant }: Typed, unit: string, range: Range | null): ParsedReading {
  const parsed = parseReading(text, unit, range)
  const offered = 'ask' in parsed && parsed.ask.choices.some(choice => choice.text === meant)
  return offered && meant ? parseReading(meant, unit, range) : parsed
}

export function measures(check: Check): check is Check & { does: Measures } {
  return check.does.kind === 'measure'
}

// Choosing the instrument at a check: only what fits the quantity and the circuit, and back to the check.

import { AppError } from '../../../errors.ts'
import type { Check } from '../../../knowledge/types.ts'
import { fitting, purposeOf } from '../../../measurement/instruments/fitting.ts'
import { accuracyFor, calibration } from '../../../measurement/instruments/instrument.ts'
import type { InstrumentNeeds } from '../../../measurement/instruments/suitability.ts'
import type { Range } from '../../../measurement/limits/range.ts'
import { formatQuantity } from '../../../measurement/readings/format.ts'
import { getUnit } from '../../../measurement/readings/units.ts'
import type { KeptInstrument } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import { localAddress, type Request } from '../../host/request.ts'
import type { Choice } from '../../partials.ts'
import { expectedRange, measures, needsAt, needsOfVoltDrop } from '../check/judged.ts'
import { namedCheck, readFault, type WalkInHand } from '../in-hand/fault-in-hand.ts'
import { readRound } from '../rounds/rounds-in-hand.ts'
import { chosenInstrument } from './chosen.ts'

/** The instrument in hand for a check, or null. */
export function instrumentAt(
  deps: Deps,
  req: Request,
  walk: WalkInHand,
  check: Check,
): KeptInstrument | null {
  return chosenInstrument(deps, req, needsAt(walk, check))
}

/** Those in use that fit a check, by direct reading. */
export function fittingAt(deps: Deps, walk: WalkInHand, check: Check): KeptInstrument[] {
  const needs = needsAt(walk, check)
  return needs ? fitting(inUse(deps), needs, expectedRange(walk, check).range) : []
}

export const showAtFault = (deps: Deps) => (req: Request) => showAt(deps, req, readFault(deps, req))

export const showOnRound = (deps: Deps) => (req: Request) => showAt(deps, req, readRound(deps, req))

function showAt(deps: Deps, req: Request, walk: WalkInHand) {
  const check = namedCheck(walk, req)
  const needs = needsAt(walk, check)
  if (!measures(check) || !needs) throw new AppError('not found', 'Nothing is measured at this check.')
  return page('technician/instruments/instruments', {
    title: 'Which instrument?',
    check: check.title,
    quantity: check.does.quantity,
    returnTo: localAddress(req.query.return),
    purpose: purposeOf(needs),
    chosen: instrumentAt(deps, req, walk, check)?.id ?? null,
    instruments: choices(deps, needs, expectedRange(walk, check).range),
  })
}

function choices(deps: Deps, needs: InstrumentNeeds, range: Range | null): Choice[] {
  const all = inUse(deps)
  const direct = fitting(all, needs, range)
  const { base } = getUnit(needs.unit)
  const byDrop =
    base === 'ohm' && needs.method !== null ? fitting(all, needsOfVoltDrop(needs.unit), null) : []
  return [
    ...direct.map(one => choiceOf(deps, one, offBy(one, range))),
    ...byDrop
      .filter(one => !direct.includes(one))
      .map(one => choiceOf(deps, one, 'Only by the volt drop under load.')),
    { value: 'none', label: 'Another one', hint: 'Meter error is then not allowed for.' },
  ]
}

/** How far it may be off at the limit; '' where that cannot be told. */
function offBy(instrument: KeptInstrument, range: Range | null): string {
  const value = range?.min ?? range?.max ?? null
  if (!range || value === null) return ''
  const at = { kind: 'value', value, resolution: 0, unit: range.unit } as const
  const accuracy = accuracyFor(instrument, at)
  if (!accuracy) return ''
  const shown = formatQuantity(Number(accuracy.halfWidth.toPrecision(2)), range.unit)
  return `±${shown} at ${formatQuantity(value, range.unit)}.`
}

function choiceOf(deps: Deps, one: KeptInstrument, words: string): Choice {
  const inDate = calibration(one, deps.clock().toISOString()) === 'in date' && one.calibrationDue
  const due = inDate
    ? `Calibration in date until ${deps.times.day(inDate)}.`
    : 'Calibration out of date: readings are marked.'
  return {
    value: one.id,
    label: `${one.kind} ${one.serial}`,
    hint: [words, due].filter(Boolean).join(' '),
    mark: inDate ? 'done' : 'caution',
  }
}

function inUse(deps: Deps): KeptInstrument[] {
  return deps.storage.instruments.list().filter(one => one.active)
}

// A reading too close to call is measured again before anything is concluded from it, with what tells better.

import type { Check } from '../../../knowledge/types.ts'
import { betterThan } from '../../../measurement/instruments/fitting.ts'
import { accuracyFor } from '../../../measurement/instruments/instrument.ts'
import { formatQuantity } from '../../../measurement/readings/format.ts'
import type { KeptInstrument } from '../../../storage/storage.ts'
import type { CheckStep } from '../../../walk/place.ts'
import type { Finding } from '../../../walk/record.ts'
import type { Deps } from '../../deps.ts'
import type { WalkInHand } from '../in-hand/fault-in-hand.ts'
import { fittingAt } from '../instruments/for-check.ts'

type Reading = Extract<Finding, { kind: 'reading' }>

export interface MeasureAgain {
  href: string
  /** What tells better, each in words; one line says so where nothing on the register does. */
  better: string[]
  /** It was measured again already and is still too close. */
  repeated: boolean
}

export const measuredAgain = 'Measured again: too close to call'
const MOST_NAMED = 2

/** Null unless the step's reading is too close to call and the row was left to it; `base`: the fault or round. */
export function measureAgain(
  deps: Deps,
  walk: WalkInHand,
  check: Check,
  { finding }: CheckStep,
  base: string,
): MeasureAgain | null {
  if (finding.kind !== 'reading' || finding.chosenRow !== null || !isClose(finding)) return null
  const before = walk.walk.struck.find(pair => pair.by.id === finding.id)?.old
  return {
    href: `${base}/findings/${finding.id}/correction?again=yes`,
    better: betterWords(fittingAt(deps, walk, check), finding),
    repeated: before?.kind === 'reading' && isClose(before),
  }
}

function isClose({ verdict }: Reading): boolean {
  return verdict.zone.endsWith('close')
}

function betterWords(fitting: KeptInstrument[], { reading, verdict, instrument }: Reading): string[] {
  const standard = verdict.uncertainty === null ? null : verdict.uncertainty / 2
  const better = betterThan(fitting, reading, standard)
  if (better.length === 0)
    return ['No instrument on the register tells better here. Clean the points, hold the probes firmly.']
  return better.slice(0, MOST_NAMED).map(one => {
    const { kind, serial } = one.instrument
    const used = accuracyFor(one.instrument, reading)?.function
    const range = used ? ` on the ${formatQuantity(used.range, used.unit)} range` : ''
    const off = `±${formatQuantity(Number((2 * one.standard).toPrecision(2)), reading.unit)} here`
    const same = one.instrument.id === instrument ? 'The same ' : 'Better: '
    const noted = one.instrument.id === instrument ? ', every digit noted' : ''
    return `${same}${kind} ${serial}${range}${noted}: ${off}.`
  })
}

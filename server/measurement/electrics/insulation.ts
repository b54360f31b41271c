// Insulation and screens: test voltage and least value by
// circuit, and what must be so before the tester is put on.
//
// Source: BS 7671:2018 Table 64 (secondary: two published summaries). It is the
// rule for building installations, shown as such: the railway's own instruction
// comes first. For screens there is no published limit of general standing.

import { formatQuantity } from '../readings/format.ts'
import { Impossible } from '../readings/impossible.ts'

export const INSULATION_SOURCE =
  'BS 7671:2018 Table 64, for building installations; your own instruction comes first'

export interface InsulationTest {
  circuit: string
  /** V DC of the tester. */
  testVoltage: number
  /** Ohm. */
  minimum: number
  source: string
}

const TESTS: (InsulationTest & { upTo: number })[] = [
  {
    circuit: 'extra-low voltage, separated (SELV or PELV)',
    upTo: 50,
    testVoltage: 250,
    minimum: 0.5e6,
    source: INSULATION_SOURCE,
  },
  {
    circuit: 'up to 500 V',
    upTo: 500,
    testVoltage: 500,
    minimum: 1e6,
    source: INSULATION_SOURCE,
  },
  {
    circuit: 'above 500 V',
    upTo: 1000,
    testVoltage: 1000,
    minimum: 1e6,
    source: INSULATION_SOURCE,
  },
]

/** The rows of the table, for showing. */
export function insulationTests(): InsulationTest[] {
  return TESTS.map(({ upTo: _upTo, ...test }) => test)
}

/**
 * The test for a circuit of so many volts. Extra-low voltage counts as such only where it is `separated` from
 * other circuits. Throws Impossible below 0 V or above 1000 V.
 */
export function insulationTest(volts: number, separated = false): InsulationTest {
  if (!(volts >= 0 && volts <= 1000))
    throw new Impossible(`The table runs from 0 to 1000\u00a0V, not ${formatQuantity(volts, 'V')}.`)
  const row = TESTS.find(test => volts <= test.upTo && (separated || test.upTo > 50))
  if (!row) throw new Impossible('The table has no row for this circuit.')
  const { upTo: _upTo, ...test } = row
  return test
}

/**
 * Why an insulation tester may not be put on yet; empty when it may. `endsOff` says in words what must be off,
 * null for both ends.
 */
export function insulationGate(state: {
  bothEndsDisconnected: boolean
  electronicsConnected: boolean
  dead: boolean
  endsOff: string | null
}): string[] {
  const reasons: string[] = []
  if (!state.dead) reasons.push('The circuit is not proved dead: prove it dead with a proved tester first.')
  if (!state.bothEndsDisconnected)
    reasons.push(
      state.endsOff === null
        ? 'Both ends are not off: take both ends off, or the tester measures through what is connected.'
        : `Not confirmed: ${state.endsOff}. The tester measures through whatever else is connected.`,
    )
  if (state.electronicsConnected)
    reasons.push('Electronics are still connected: the test voltage can destroy them. Disconnect them first.')
  return reasons
}

/**
 * A wet reading beside the dry one of the same core, ohms: what the two say together, or null when nothing.
 */
export function wetBesideDry(dry: number, wet: number): string | null {
  if (!(dry > 0 && wet >= 0)) throw new Impossible('Both insulation readings must be numbers of ohms.')
  if (wet === 0)
    return 'Wet, nothing is left of the insulation: look for water in a joint or a damaged sheath.'
  const times = dry / wet
  if (times < 10) return null
  return `Wet, the insulation falls to ${formatQuantity(wet, 'ohm')} from ${formatQuantity(dry, 'ohm')} dry: look for water in a joint or a damaged sheath.`
}

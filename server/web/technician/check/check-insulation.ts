import type { Check } from '../../../knowledge/types.ts'
import {
  INSULATION_SOURCE,
  insulationGate,
  insulationTests,
  wetBesideDry,
} from '../../../measurement/electrics/insulation.ts'
import { formatIn } from '../../../measurement/readings/format.ts'
import { formatReading, type Reading } from '../../../measurement/readings/reading.ts'
import type { WetOrDryReading } from '../../../storage/storage.ts'

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
  const given = confirmations.filter(({ words }) => confirmed.includes(words))
  return Object.fromEntries(given.map(({ name }) => [name, 'yes']))
}

/** The tests by circuit, for showing, with their source. */
export function insulationTable() {
  return {
    source: INSULATION_SOURCE,
    rows: insulationTests().map(test => ({
      circuit: test.circuit,
      volts: formatIn(test.testVoltage, 'V DC', 'V DC'),
      least: `at least ${formatIn(test.minimum, 'ohm', 'Mohm')}`,
    })),
  }
}

export interface WetBeside {
  tree: string
  check: string
  dry: { words: string; at: string; faultId: string }
  wet: { words: string; at: string; faultId: string }
  /** What the two say together; null when they say nothing much or have no numbers. */
  says: string | null
}

/** The newest wet reading of each check beside its newest dry one, where both are on record. `readings`: newest first. */
export function wetBeside(readings: WetOrDryReading[]): WetBeside[] {
  const keys = [...new Set(readings.map(one => `${one.tree}#${one.check}`))]
  return keys.flatMap(key => {
    const here = readings.filter(one => `${one.tree}#${one.check}` === key)
    const dry = here.find(one => one.wetOrDry === 'dry')
    const wet = here.find(one => one.wetOrDry === 'wet')
    if (!dry || !wet) return []
    const told = ({ reading, at, faultId }: WetOrDryReading) => ({
      words: formatReading(reading),
      at,
      faultId,
    })
    const { tree, check } = dry
    return [{ tree, check, dry: told(dry), wet: told(wet), says: together(dry.reading, wet.reading) }]
  })
}

function together(dry: Reading, wet: Reading): string | null {
  const [from, to] = [ohms(dry), ohms(wet)]
  return from !== null && to !== null && from > 0 && to >= 0 ? wetBesideDry(from, to) : null
}

/** The number a reading is good for: `>200M` is at least that much. */
function ohms(reading: Reading): number | null {
  if (reading.kind === 'unstable') return reading.low
  return 'value' in reading ? reading.value : null
}

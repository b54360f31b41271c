// The functions a limit may use, by their names in plain words.
// Each says what it takes, what it gives, and its source.

import { COPPER_SOURCE, type Core, coreResistance, feederDrop, pairResistance } from '../electrics/copper.ts'
import { fuseCurrents, GG_SOURCE } from '../electrics/fuse.ts'
import { acResistanceRatio, skinDepth } from '../electrics/high-frequency.ts'
import { INSULATION_SOURCE, insulationTest } from '../electrics/insulation.ts'
import { loopInductance, reactance, setSpeed, spacingFor } from '../electrics/loop.ts'
import { formatQuantity } from '../readings/format.ts'

export interface Parameter {
  name: string
  /** A unit symbol for a number, or 'word' for one of `words`. */
  takes: string
  words?: string[]
  optional?: boolean
}

/** Numbers in base units; words as written. */
export type Argument = number | string

export interface Worked {
  value: number
  /** Nothing physical is lower, same unit; null when not known. */
  floor: number | null
  /** How it was worked out, or null where the name says it all. */
  working: string | null
}

export interface FormulaFunction {
  name: string
  takes: Parameter[]
  /** Unit symbol of the answer. */
  gives: string
  /** A ratio that makes AC ohms of DC ohms. */
  alternating?: boolean
  source: string
  /** Throws Impossible with a sentence for people. */
  work: (args: Argument[]) => Worked
}

const CLASSES = ['1', '2', '5', '6'].flatMap(number => [
  `class ${number}`,
  `class ${number} plain`,
  `class ${number} tinned`,
  `class ${number} metal-coated`,
])
const FIELD_THEORY = 'textbook field theory for a solid round core (computed)'
const LOOP_SOURCE = 'textbook inductance of a rectangle, current on the surface (value from memory)'

const length = { name: 'length', takes: 'm' }
const size = { name: 'core size', takes: 'mm²' }
const temperature = { name: 'temperature', takes: '°C', optional: true }
const coreClass = { name: 'class', takes: 'word', words: CLASSES, optional: true }
const frequency = { name: 'frequency', takes: 'Hz' }
const timer = { name: 'timer', takes: 's' }
const rating = { name: 'rating', takes: 'A' }
const loop = [
  { name: 'loop length', takes: 'm' },
  { name: 'loop width', takes: 'm' },
  { name: 'wire radius', takes: 'm' },
]

const LIST: FormulaFunction[] = [
  {
    name: 'resistance per length',
    takes: [size, temperature, coreClass],
    gives: 'ohm/km',
    source: COPPER_SOURCE,
    work: args => ofCore(coreResistance(square(args, 0), degrees(args, 1), classOf(args, 2))),
  },
  {
    name: 'core resistance',
    takes: [length, size, temperature, coreClass],
    gives: 'ohm',
    source: COPPER_SOURCE,
    work: args => half(pairResistance(number(args, 0), square(args, 1), degrees(args, 2), classOf(args, 3))),
  },
  {
    name: 'pair resistance',
    takes: [length, size, temperature, coreClass],
    gives: 'ohm',
    source: `${COPPER_SOURCE}; there and back`,
    work: args =>
      ofCore(pairResistance(number(args, 0), square(args, 1), degrees(args, 2), classOf(args, 3))),
  },
  {
    name: 'feeder volt drop',
    takes: [{ name: 'current', takes: 'A' }, length, size, temperature, coreClass],
    gives: 'V',
    source: `${COPPER_SOURCE}; there and back, times the current`,
    work: args => {
      const drop = feederDrop(
        number(args, 0),
        number(args, 1),
        square(args, 2),
        degrees(args, 3),
        classOf(args, 4),
      )
      return { value: drop.volts, floor: null, working: drop.working }
    },
  },
  {
    name: 'skin depth',
    takes: [frequency, temperature],
    gives: 'm',
    source: FIELD_THEORY,
    work: args => plain(skinDepth(number(args, 0), degrees(args, 1))),
  },
  {
    name: 'ac resistance ratio',
    takes: [size, frequency, temperature],
    gives: 'ratio',
    alternating: true,
    source: FIELD_THEORY,
    work: args => plain(acResistanceRatio(number(args, 0), number(args, 1), degrees(args, 2))),
  },
  {
    name: 'loop inductance',
    takes: loop,
    gives: 'H',
    source: LOOP_SOURCE,
    work: args => plain(loopInductance(number(args, 0), number(args, 1), number(args, 2))),
  },
  {
    name: 'loop reactance',
    takes: [...loop, frequency],
    gives: 'ohm AC',
    source: `${LOOP_SOURCE}; 2π × frequency × inductance`,
    work: args => {
      const inductance = loopInductance(number(args, 0), number(args, 1), number(args, 2))
      const working = `2π × ${formatQuantity(number(args, 3), 'Hz')} × ${formatQuantity(inductance, 'H')}`
      return { value: reactance(inductance, number(args, 3)), floor: null, working }
    },
  },
  {
    name: 'set speed',
    takes: [{ name: 'loop spacing', takes: 'm' }, timer],
    gives: 'm/s',
    source: 'distance over time',
    work: args => plain(setSpeed(number(args, 0), number(args, 1))),
  },
  {
    name: 'spacing for speed',
    takes: [{ name: 'set speed', takes: 'm/s' }, timer],
    gives: 'm',
    source: 'speed times time',
    work: args => plain(spacingFor(number(args, 0), number(args, 1))),
  },
  {
    name: 'non-fusing current',
    takes: [rating],
    gives: 'A',
    source: GG_SOURCE,
    work: args => plain(fuseCurrents(number(args, 0)).nonFusing),
  },
  {
    name: 'fusing current',
    takes: [rating],
    gives: 'A',
    source: GG_SOURCE,
    work: args => plain(fuseCurrents(number(args, 0)).fusing),
  },
  {
    name: 'insulation minimum',
    takes: [{ name: 'circuit voltage', takes: 'V' }],
    gives: 'ohm',
    source: INSULATION_SOURCE,
    work: args => plain(insulationTest(number(args, 0)).minimum),
  },
  {
    name: 'insulation test voltage',
    takes: [{ name: 'circuit voltage', takes: 'V' }],
    gives: 'V DC',
    source: INSULATION_SOURCE,
    work: args => plain(insulationTest(number(args, 0)).testVoltage),
  },
]

export const FUNCTIONS: ReadonlyMap<string, FormulaFunction> = new Map(LIST.map(entry => [entry.name, entry]))

/**
 * "pair resistance(length in m, core size in mm², [temperature in °C], [class])", for messages and the guide.
 */
export function signature(entry: FormulaFunction): string {
  const shown = entry.takes.map(parameter => {
    const text = parameter.takes === 'word' ? parameter.name : `${parameter.name} in ${parameter.takes}`
    return parameter.optional ? `[${text}]` : text
  })
  return `${entry.name}(${shown.join(', ')})`
}

function plain(value: number): Worked {
  return { value, floor: null, working: null }
}

function ofCore(core: Core): Worked {
  return { value: core.greatest, floor: core.floor, working: core.working }
}

function half(pair: Core): Worked {
  return { value: pair.greatest / 2, floor: pair.floor / 2, working: `half of ${pair.working}` }
}

/** Arguments were counted and measured by `checkDimensions`; a missing one here is a fault of ours. */
function number(args: Argument[], index: number): number {
  const value = args[index]
  if (typeof value !== 'number') throw new RangeError(`argument ${index + 1} is no number`)
  return value
}

/** Square metres to square millimetres. */
function square(args: Argument[], index: number): number {
  return Number(formatPlain(number(args, index) * 1e6))
}

function degrees(args: Argument[], index: number): number {
  return args[index] === undefined ? 20 : number(args, index)
}

function classOf(args: Argument[], index: number): string | undefined {
  const word = args[index]
  return typeof word === 'string' ? word : undefined
}

function formatPlain(value: number): string {
  return value.toPrecision(12)
}

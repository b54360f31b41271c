import {
  type Calculation,
  fuseCheck,
  leadCorrection,
  loopResistance,
  spacingOfSpeed,
  speedOfSpacing,
  voltDrop,
} from '../../../measurement/electrics/calculators.ts'
import { copperSizes } from '../../../measurement/electrics/copper.ts'
import type { FuseKind } from '../../../measurement/electrics/fuse.ts'
import { formatNumber } from '../../../measurement/readings/format.ts'
import { fuseKinds } from '../repair/repairs-fuse.ts'

export interface CalculatorField {
  name: string
  label: string
  hint?: string
  /** A number typed in this unit; without it, one of the choices. */
  unit?: string
  choices?: { value: string; label: string }[]
  usual?: string
  /** May be left empty. */
  optional?: boolean
}

/** What was typed: numbers in the field's own unit with one count of their last digit, choices as they are. */
export interface CalculatorInput {
  number(name: string): number
  resolution(name: string): number
  has(name: string): boolean
  word(name: string): string
}

export interface Calculator {
  slug: string
  title: string
  about: string
  fields: CalculatorField[]
  /** Throws Impossible, in words for the page. A field the sum needs and did not get is named with `missing`. */
  work(input: CalculatorInput): Calculation | { missing: string; words: string }
}

const length: CalculatorField = { name: 'length', label: 'Length of the cable, one way', unit: 'm' }
const size: CalculatorField = {
  name: 'size',
  label: 'Size of each core',
  choices: copperSizes().map(mm => ({ value: String(mm), label: `${formatNumber(mm)}\u00a0mm²` })),
  usual: '2.5',
}
const temperature: CalculatorField = {
  name: 'temperature',
  label: 'Temperature of the cable',
  unit: '°C',
  usual: '20',
}
const coreClass: CalculatorField = {
  name: 'coreClass',
  label: 'Class of the core',
  hint: 'Class 1 is solid, 2 stranded, 5 and 6 flexible.',
  choices: ['1', '2', '5', '6'].flatMap(one => [
    { value: `class ${one}`, label: `class ${one}, plain` },
    { value: `class ${one} tinned`, label: `class ${one}, tinned` },
  ]),
  usual: 'class 2',
}

function cableOf(input: CalculatorInput) {
  return {
    length: input.number('length'),
    size: Number(input.word('size')),
    temperature: input.number('temperature'),
    coreClass: input.word('coreClass'),
  }
}

export const calculators: Calculator[] = [
  {
    slug: 'loop-resistance',
    title: 'Loop resistance',
    about: 'What a twin cable may have, there and back, and the least its copper can have.',
    fields: [length, size, temperature, coreClass],
    work: input => loopResistance(cableOf(input)),
  },
  {
    slug: 'volt-drop',
    title: 'Volt drop',
    about: 'What a feeder loses on the way, and what is left at its end.',
    fields: [
      { name: 'supply', label: 'Voltage at the feeding end', unit: 'V' },
      { name: 'current', label: 'Current', unit: 'A' },
      ...[length, size, temperature, coreClass],
    ],
    work: input =>
      voltDrop({ supply: input.number('supply'), current: input.number('current'), ...cableOf(input) }),
  },
  {
    slug: 'spacing',
    title: 'Spacing and set speed',
    about: 'The speed a pair of loops is set for, or the spacing a set speed wants. Give one of the two.',
    fields: [
      { name: 'timer', label: 'Timer value', unit: 's' },
      { name: 'spacing', label: 'Spacing of the loops', unit: 'm', optional: true },
      {
        name: 'speed',
        label: 'Or the set speed',
        unit: 'mph',
        hint: 'With km/h after it, in that.',
        optional: true,
      },
    ],
    work: spacingAndSpeed,
  },
  {
    slug: 'lead-correction',
    title: 'Lead correction',
    about: 'A two-wire resistance less that of the test leads.',
    fields: [
      { name: 'measured', label: 'Reading with the leads', unit: 'ohm' },
      { name: 'leads', label: 'Leads, touched together', unit: 'ohm' },
    ],
    work: input =>
      leadCorrection({
        measured: input.number('measured'),
        leads: input.number('leads'),
        resolution: input.resolution('measured'),
      }),
  },
  {
    slug: 'fuse',
    title: 'Fuse and load',
    about: 'Whether a measured load blows the fuse that feeds it.',
    fields: [
      { name: 'rating', label: 'Rating of the fuse', unit: 'A' },
      { name: 'load', label: 'Load measured', unit: 'A' },
      { name: 'kind', label: 'Kind of fuse', choices: fuseKinds, usual: 'gG' },
    ],
    work: input =>
      fuseCheck({
        rating: input.number('rating'),
        load: input.number('load'),
        kind: input.word('kind') as FuseKind,
      }),
  },
]

function spacingAndSpeed(input: CalculatorInput): ReturnType<Calculator['work']> {
  const timer = input.number('timer')
  if (input.has('spacing') === input.has('speed'))
    return { missing: 'spacing', words: 'Give the spacing or the set speed, one of the two.' }
  if (input.has('spacing')) return speedOfSpacing({ spacing: input.number('spacing'), timer })
  return spacingOfSpeed({ speed: input.number('speed'), unit: 'mph', timer })
}

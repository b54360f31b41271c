// Copper cores: resistance by size, class and temperature.
//
// Source: IEC 60228, greatest resistance at 20 °C (secondary: three cable makers' tables agree), and its
// exact factor for temperature, (234.5 + t) ÷ 254.5 (value from memory). The tables some makers print use 250
// ÷ (230 + t) and differ by up to 0.002.

import { formatNumber, formatQuantity } from '../readings/format.ts'
import { Impossible, needPositive } from '../readings/impossible.ts'

export const COPPER_SOURCE =
  'IEC 60228: greatest resistance of a copper core at 20 °C, and the factor (234.5 + t) ÷ 254.5'

/** Ω/km at 20 °C by mm²: class 1 and 2 plain, metal-coated; class 5 and 6 plain, tinned. */
const GREATEST = new Map<number, [number, number, number, number]>([
  [0.5, [36.0, 36.7, 39.0, 40.1]],
  [0.75, [24.5, 24.8, 26.0, 26.7]],
  [1, [18.1, 18.2, 19.5, 20.0]],
  [1.5, [12.1, 12.2, 13.3, 13.7]],
  [2.5, [7.41, 7.56, 7.98, 8.21]],
  [4, [4.61, 4.7, 4.95, 5.09]],
  [6, [3.08, 3.11, 3.3, 3.39]],
  [10, [1.83, 1.84, 1.91, 1.95]],
  [16, [1.15, 1.16, 1.21, 1.24]],
])

/**
 * Resistivity of annealed copper at 20 °C, Ω·mm²/m: 1/58 (secondary: cites NBS Circular 31 and Handbook 100).
 */
export const RESISTIVITY_MM2 = 1 / 58

const USUAL_CLASS = 'class 2'
const USUAL_TEMPERATURE = 20

export interface Core {
  /** The most a healthy core may have, ohm per metre. */
  greatest: number
  /** The least this much copper can have, ohm per metre: resistivity over area. */
  floor: number
  /** The sum in words. */
  working: string
}

/**
 * Resistance per metre of one copper core. `size` in mm², one of the
 * standard's; `temperature` in °C; `coreClass` as "class 2", "class 5 tinned".
 * Throws Impossible for a size, class or temperature it has no value for.
 */
export function coreResistance(size: number, temperature = USUAL_TEMPERATURE, coreClass = USUAL_CLASS): Core {
  const row = GREATEST.get(Number(size.toPrecision(6)))
  if (!row) throw new Impossible(unknownSize(size))
  const at20 = row[columnOf(coreClass)] ?? row[0]
  const factor = temperatureFactor(temperature)
  const greatest = (at20 / 1000) * factor
  const shown = `${formatNumber(at20)}\u00a0Ω/km`
  return {
    greatest,
    floor: (RESISTIVITY_MM2 / size) * factor,
    working: temperature === 20 ? shown : `${shown} × (234.5 + ${formatNumber(temperature)}) ÷ 254.5`,
  }
}

/**
 * What a copper resistance at 20 °C is multiplied by at
 * `temperature` (°C). Throws Impossible outside −60 to 200 °C.
 */
export function temperatureFactor(temperature: number): number {
  checkCopperTemperature(temperature)
  return (234.5 + temperature) / 254.5
}

/**
 * Throws Impossible for a temperature that cannot be, or at which the rule for copper is not to be trusted.
 */
export function checkCopperTemperature(temperature: number): void {
  const shown = formatQuantity(temperature, '°C')
  if (!(temperature >= -273.15))
    throw new Impossible(`A temperature of ${shown} cannot be: look at the fact.`)
  if (temperature < -60 || temperature > 200)
    throw new Impossible(
      `${shown} is outside −60 to 200\u00a0°C, where the sum for copper holds: look at the temperature.`,
    )
}

/** There and back: two cores of `length` metres. The same failures as `coreResistance`. */
export function pairResistance(
  length: number,
  size: number,
  temperature = USUAL_TEMPERATURE,
  coreClass = USUAL_CLASS,
): Core {
  needPositive('length', length, formatQuantity(length, 'm'))
  const core = coreResistance(size, temperature, coreClass)
  return {
    greatest: 2 * length * core.greatest,
    floor: 2 * length * core.floor,
    working: `2 × ${formatQuantity(length, 'm')} × ${core.working}`,
  }
}

/** Volts lost along a feeder that carries `current` amperes there and back. */
export function feederDrop(
  current: number,
  length: number,
  size: number,
  temperature = USUAL_TEMPERATURE,
  coreClass = USUAL_CLASS,
): { volts: number; working: string } {
  const pair = pairResistance(length, size, temperature, coreClass)
  return {
    volts: current * pair.greatest,
    working: `${formatQuantity(current, 'A')} × ${pair.working}`,
  }
}

/** The sizes there are values for, mm². */
export function copperSizes(): number[] {
  return [...GREATEST.keys()]
}

function columnOf(coreClass: string): number {
  const match = /^class ([1256])(?: (plain|tinned|metal-coated))?$/.exec(coreClass.trim().toLowerCase())
  if (!match)
    throw new Impossible(
      `"${coreClass}" is no class of copper core: write class 1, 2, 5 or 6, and tinned where it is.`,
    )
  const coated = match[2] === 'tinned' || match[2] === 'metal-coated'
  return (match[1] === '1' || match[1] === '2' ? 0 : 2) + (coated ? 1 : 0)
}

function unknownSize(size: number): string {
  const sizes = copperSizes().map(value => formatNumber(value))
  return `There is no value for a core of ${formatQuantity(size, 'mm²')}: known are ${sizes.join(', ')}\u00a0mm².`
}

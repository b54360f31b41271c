// What a quantity measures, so that a formula cannot add metres to volts.
//
// Powers of volt, ampere, metre, second and kelvin; besides, whether volts and
// ohms are AC or DC (what a DC ohmmeter reads is not what the loop current
// meets), and whether a temperature is a point (20 °C) or a difference (5 K).

export interface Dimension {
  volt: number
  ampere: number
  metre: number
  second: number
  kelvin: number
  current: 'AC' | 'DC' | null
  point: boolean
}

const NOTHING: Dimension = {
  volt: 0,
  ampere: 0,
  metre: 0,
  second: 0,
  kelvin: 0,
  current: null,
  point: false,
}

const BASES = new Map<string, Dimension>([
  ['V AC', { ...NOTHING, volt: 1, current: 'AC' }],
  ['V DC', { ...NOTHING, volt: 1, current: 'DC' }],
  ['V', { ...NOTHING, volt: 1 }],
  ['A', { ...NOTHING, ampere: 1 }],
  ['ohm', { ...NOTHING, volt: 1, ampere: -1, current: 'DC' }],
  ['ohm AC', { ...NOTHING, volt: 1, ampere: -1, current: 'AC' }],
  ['Hz', { ...NOTHING, second: -1 }],
  ['H', { ...NOTHING, volt: 1, second: 1, ampere: -1 }],
  ['m', { ...NOTHING, metre: 1 }],
  ['m²', { ...NOTHING, metre: 2 }],
  ['m/s', { ...NOTHING, metre: 1, second: -1 }],
  ['s', { ...NOTHING, second: 1 }],
  ['°C', { ...NOTHING, kelvin: 1, point: true }],
  ['K', { ...NOTHING, kelvin: 1 }],
  ['ratio', NOTHING],
  ['AC ratio', { ...NOTHING, current: 'AC' }],
  ['ohm/m', { ...NOTHING, volt: 1, ampere: -1, metre: -1, current: 'DC' }],
])

/** The dimension of a base unit. Throws RangeError for anything else. */
export function dimensionOf(base: string): Dimension {
  const dimension = BASES.get(base)
  if (!dimension) throw new RangeError(`"${base}" is no base unit`)
  return dimension
}

/** The base unit that measures this, or null where none does (ohm², say). */
export function baseUnitOf(dimension: Dimension): string | null {
  let near: string | null = null
  for (const [base, candidate] of BASES) {
    if (!samePowers(dimension, candidate) || candidate.point !== dimension.point) continue
    if (candidate.current === dimension.current) return base
    near ??= base
  }
  return dimension.current === null ? near : null
}

/** In words for a message: "voltage AC" is V AC; without a base unit the powers are spelled out. */
export function describeDimension(dimension: Dimension): string {
  const base = baseUnitOf(dimension)
  if (base === 'ratio' || base === 'AC ratio') return 'a plain number'
  if (base) return `a quantity in ${base.replace('ohm', 'Ω')}`
  const powers: [string, number][] = [
    ['V', dimension.volt],
    ['A', dimension.ampere],
    ['m', dimension.metre],
    ['s', dimension.second],
    ['K', dimension.kelvin],
  ]
  const shown = powers
    .filter(([, power]) => power !== 0)
    .map(([name, power]) => (power === 1 ? name : `${name}^${power}`))
  return `a quantity in ${shown.join(' × ')}`
}

/** May the two be added or compared? What is neither AC nor DC goes with both. */
export function fits(a: Dimension, b: Dimension): boolean {
  if (!samePowers(a, b) || a.point !== b.point) return false
  return a.current === null || b.current === null || a.current === b.current
}

/** The dimension of a product (`power` 1) or a quotient (−1). Points on a scale have neither: see `fits`. */
export function combine(a: Dimension, b: Dimension, power: 1 | -1): Dimension {
  const result: Dimension = {
    volt: a.volt + power * b.volt,
    ampere: a.ampere + power * b.ampere,
    metre: a.metre + power * b.metre,
    second: a.second + power * b.second,
    kelvin: a.kelvin + power * b.kelvin,
    current: null,
    point: false,
  }
  return { ...result, current: currentOf(result, a, b) }
}

/**
 * Volts stay AC or DC through plain numbers; amperes times ohms are volts of either kind. Ohms become AC when
 * volts AC are divided or an AC/DC ratio multiplied. A ratio of two volts is a plain number.
 */
function currentOf(result: Dimension, a: Dimension, b: Dimension): 'AC' | 'DC' | null {
  if (isRatio(result)) return isRatio(a) && isRatio(b) ? (a.current ?? b.current) : null
  const sources = result.ampere === 0 ? [a, b].filter(part => part.ampere === 0) : [a, b]
  if (sources.some(part => part.current === 'AC')) return 'AC'
  return sources.some(part => part.current === 'DC') ? 'DC' : null
}

/** Is it a plain number? */
export function isRatio(dimension: Dimension): boolean {
  return samePowers(dimension, NOTHING)
}

function samePowers(a: Dimension, b: Dimension): boolean {
  return (
    a.volt === b.volt &&
    a.ampere === b.ampere &&
    a.metre === b.metre &&
    a.second === b.second &&
    a.kelvin === b.kelvin
  )
}

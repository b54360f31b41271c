// The units a reading, a fact or a limit may have: each with its base, its factor, and what it measures.
//
// One base a kind. Volts AC and DC are apart; plain V is accepted only where the other side says which.
// °C is a temperature, K a difference of temperatures: they never mix.

import { type Dimension, dimensionOf } from './dimension.ts'

export interface Unit {
  /** As written in the knowledge and in the database: "mV AC", "kohm". */
  symbol: string
  /** As shown to people, with no-break spaces: "mV AC", "kΩ". */
  shown: string
  /** Symbol of the base unit of its kind. */
  base: string
  /** One of this unit in the base unit; exact where the definition is. */
  factor: number
  /** What it measures, in words: "voltage AC". */
  kind: string
}

interface BaseUnit {
  symbol: string
  shown: string
  kind: string
  prefixes: string
  aliases: string[]
}

const PREFIXES = new Map([
  ['n', 1e-9],
  ['µ', 1e-6],
  ['m', 1e-3],
  ['', 1],
  ['k', 1e3],
  ['M', 1e6],
  ['G', 1e9],
])

const BASES: BaseUnit[] = [
  {
    symbol: 'V AC',
    shown: 'V AC',
    kind: 'voltage AC',
    prefixes: 'µmk',
    aliases: ['VAC', 'V a.c.', 'V~', 'volts AC'],
  },
  {
    symbol: 'V DC',
    shown: 'V DC',
    kind: 'voltage DC',
    prefixes: 'µmk',
    aliases: ['VDC', 'V d.c.', 'V⎓', 'volts DC'],
  },
  { symbol: 'V', shown: 'V', kind: 'voltage', prefixes: 'µmk', aliases: ['volt', 'volts'] },
  { symbol: 'A', shown: 'A', kind: 'current', prefixes: 'nµmk', aliases: ['amp', 'amps'] },
  { symbol: 'ohm', shown: 'Ω', kind: 'resistance', prefixes: 'µmkMG', aliases: ['Ω', 'ohms', 'R'] },
  {
    symbol: 'ohm AC',
    shown: 'Ω AC',
    kind: 'impedance AC',
    prefixes: 'mk',
    aliases: ['Ω AC', 'ohms AC'],
  },
  { symbol: 'Hz', shown: 'Hz', kind: 'frequency', prefixes: 'kM', aliases: ['hertz'] },
  { symbol: 'H', shown: 'H', kind: 'inductance', prefixes: 'nµm', aliases: ['henry'] },
  { symbol: 'm', shown: 'm', kind: 'length', prefixes: 'µmk', aliases: ['metre', 'metres'] },
  { symbol: 'm²', shown: 'm²', kind: 'area', prefixes: '', aliases: ['m2', 'sq m'] },
  { symbol: 'm/s', shown: 'm/s', kind: 'speed', prefixes: '', aliases: [] },
  { symbol: 's', shown: 's', kind: 'time', prefixes: 'µm', aliases: ['sec', 'second', 'seconds'] },
  { symbol: '°C', shown: '°C', kind: 'temperature', prefixes: '', aliases: ['℃', 'deg C', 'degC', 'º C'] },
  { symbol: 'K', shown: 'K', kind: 'temperature difference', prefixes: '', aliases: ['kelvin'] },
  { symbol: 'ratio', shown: '', kind: 'ratio', prefixes: '', aliases: [] },
  { symbol: 'ohm/m', shown: 'Ω/m', kind: 'resistance per length', prefixes: 'm', aliases: ['Ω/m'] },
]

/** Units that are no power of ten away from their base by a prefix. Factors are exact by definition. */
const OTHERS: [symbol: string, base: string, factor: number, ...aliases: string[]][] = [
  ['mm²', 'm²', 1e-6, 'mm2', 'sq mm'],
  ['cm', 'm', 0.01],
  ['in', 'm', 0.0254, 'inch', 'inches'],
  ['ft', 'm', 0.3048, 'feet', 'foot'],
  ['yd', 'm', 0.9144, 'yard', 'yards'],
  ['mile', 'm', 1609.344, 'miles', 'Mile', 'Miles'],
  ['mph', 'm/s', 0.44704, 'MPH', 'Mph'],
  ['km/h', 'm/s', 1 / 3.6, 'kph', 'kmh'],
  ['min', 's', 60, 'minute', 'minutes'],
  ['h', 's', 3600, 'hour', 'hours'],
  ['%', 'ratio', 0.01, 'percent', 'per cent'],
  ['ohm/km', 'ohm/m', 1e-3, 'Ω/km'],
]

/** Symbols of the units that all others are made of. */
export function unitBases(): string[] {
  return BASES.map(({ symbol }) => symbol)
}

const exact = new Map<string, Unit>()
const folded = new Map<string, Unit>()
fillTables()

/**
 * The unit a symbol or a usual spelling stands for, or null.
 * The case of a prefix always counts (m is milli, M is mega); that of the rest does not.
 */
export function findUnit(symbol: string): Unit | null {
  const exactMatch = exact.get(symbol)
  if (exactMatch) return exactMatch
  const tidy = tidySymbol(symbol)
  return exact.get(tidy) ?? folded.get(foldCase(tidy)) ?? null
}

/**
 * As `findUnit`, for a symbol that this program wrote itself. Throws RangeError when there is no such unit.
 */
export function getUnit(symbol: string): Unit {
  const unit = findUnit(symbol)
  if (!unit) throw new RangeError(`there is no unit "${symbol}"`)
  return unit
}

/** The known unit spelled most like this one, for a hint; null when none is near. */
export function nearestUnit(symbol: string): Unit | null {
  const wanted = foldCase(tidySymbol(symbol))
  let best: { unit: Unit; distance: number } | null = null
  for (const [spelling, unit] of folded) {
    const distance = editDistance(wanted, spelling)
    if (distance < (best?.distance ?? Math.min(3, wanted.length))) best = { unit, distance }
  }
  return best?.unit ?? null
}

/** Every symbol, in the order of the table. */
export function allUnits(): Unit[] {
  return [...new Set(exact.values())]
}

/** The unit of the same base that has this prefix ("k"), or null where that is not in use. */
export function withPrefix(base: string, prefix: string): Unit | null {
  const prefixed = exact.get(prefix + base)
  return prefixed && prefixed.base === base ? prefixed : null
}

/** A number in `unit` as a number in its base unit, without the noise of binary fractions. */
export function toBase(value: number, unit: Unit): number {
  return unit.factor === 1 ? value : clean(value * unit.factor)
}

/** A number in the base unit as a number in `unit`. */
export function fromBase(value: number, unit: Unit): number {
  return unit.factor === 1 ? value : clean(value / unit.factor)
}

/** The same quantity in another unit of its kind. Throws RangeError for units of different kinds. */
export function convert(value: number, from: string, to: string): number {
  const source = getUnit(from)
  const target = getUnit(to)
  if (source.base !== target.base) throw new RangeError(`${from} cannot be told in ${to}`)
  return source === target ? value : clean((value * source.factor) / target.factor)
}

/** What a unit measures, as powers of volt, ampere, metre, second and kelvin. */
export function unitDimension(symbol: string): Dimension {
  return dimensionOf(getUnit(symbol).base)
}

/** Edits between two short texts: letters added, left out or changed. */
export function editDistance(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, index) => index)
  for (let i = 1; i <= a.length; i++) {
    const next = [i]
    for (let j = 1; j <= b.length; j++) {
      const change = (row[j - 1] ?? 0) + (a[i - 1] === b[j - 1] ? 0 : 1)
      next.push(Math.min(change, (row[j] ?? 0) + 1, (next[j - 1] ?? 0) + 1))
    }
    row = next
  }
  return row[b.length] ?? 0
}

/** Rounds away the last binary digit or so: 3 × 0.1 is 0.3. */
export function clean(value: number): number {
  return Number.isFinite(value) ? Number(value.toPrecision(15)) : value
}

function fillTables(): void {
  for (const base of BASES) {
    for (const prefix of ['', ...base.prefixes]) addPrefixed(base, prefix)
  }
  for (const [symbol, base, factor, ...aliases] of OTHERS) {
    const kind = BASES.find(entry => entry.symbol === base)?.kind ?? ''
    add({ symbol, shown: symbol.replace('ohm', 'Ω'), base, factor, kind }, [symbol, ...aliases])
  }
}

function addPrefixed(base: BaseUnit, prefix: string): void {
  const factor = PREFIXES.get(prefix) ?? 1
  const unit = {
    symbol: prefix + base.symbol,
    shown: prefix + base.shown.replace(' ', '\u00a0'),
    base: base.symbol,
    factor,
    kind: base.kind,
  }
  const words = prefix === 'M' ? ['meg', 'mega', 'M'] : prefix === 'm' ? ['milli', 'm'] : [prefix]
  add(
    unit,
    [base.symbol, base.shown, ...base.aliases].flatMap(name => words.map(word => word + name)),
  )
}

/** The first to claim a spelling keeps it: metre before milli, minute before milli-inch. */
function add(unit: Unit, spellings: string[]): void {
  for (const spelling of spellings) {
    const tidy = tidySymbol(spelling)
    if (tidy === '') continue
    if (!exact.has(tidy)) exact.set(tidy, unit)
    const fold = foldCase(tidy)
    if (!folded.has(fold)) folded.set(fold, unit)
  }
}

/** One way of writing micro, ohm and spaces. */
function tidySymbol(symbol: string): string {
  return symbol
    .trim()
    .replace(/[\s\u00a0\u202f]+/g, ' ')
    .replace(/[\u03bc]/g, 'µ')
    .replace(/^u(?=[VAohmsHRΩ\u2126])/, 'µ')
    .replace(/\u2126/g, 'Ω')
}

/** Lower case but for a leading m or M, which mean different things. */
function foldCase(symbol: string): string {
  const first = symbol.slice(0, 1)
  const rest = symbol.slice(1).toLowerCase().replace(/ /g, '')
  return (first === 'm' || first === 'M' ? first : first.toLowerCase()) + rest
}

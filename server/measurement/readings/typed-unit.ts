// The unit or prefix typed after a number, against the unit
// the check asks for. A bare m or M is never just believed.

import type { Range } from '../limits/range.ts'
import { formatIn } from './format.ts'
import { findUnit, nearestUnit, toBase, type Unit, withPrefix } from './units.ts'

export type TypedUnit =
  | { kind: 'unit'; unit: Unit }
  /** A bare prefix that may have been meant otherwise: the units it can be. */
  | { kind: 'ask'; typed: string; units: Unit[] }
  | { kind: 'error'; error: string }

const PREFIXES = new Map([
  ['n', 'n'],
  ['u', 'µ'],
  ['µ', 'µ'],
  ['μ', 'µ'],
  ['m', 'm'],
  ['k', 'k'],
  ['K', 'k'],
  ['M', 'M'],
  ['G', 'G'],
])

/** Which unit `rest`, typed after `value`, stands for. `usual` helps only where a bare m or M is in doubt. */
export function readUnit(rest: string, value: number, standard: Unit, usual: Range | null): TypedUnit {
  if (rest === '') return { kind: 'unit', unit: standard }
  const unit = findUnit(rest)
  if (unit?.base === standard.base) return { kind: 'unit', unit }
  const prefix = PREFIXES.get(rest)
  if (prefix) return barePrefix(rest, prefix, value, standard, usual)
  if (unit) return otherKind(unit, rest, standard)
  const near = nearestUnit(rest)
  const hint = near && near.base === standard.base ? near.shown : shownName(standard)
  return { kind: 'error', error: `"${rest}" is no unit known here: type the number in ${hint}.` }
}

function otherKind(parsedUnit: Unit, rest: string, standard: Unit): TypedUnit {
  const current = parsedUnit.base === 'V' && standard.base.startsWith('V ') ? standard.base.slice(1) : null
  const unit = current === null ? null : findUnit(parsedUnit.symbol + current)
  if (unit) return { kind: 'unit', unit }
  return {
    kind: 'error',
    error: `"${rest}" is ${parsedUnit.kind}, and this check asks for ${standard.kind}: give the reading in ${shownName(standard)}.`,
  }
}

function barePrefix(
  typed: string,
  prefix: string,
  value: number,
  standard: Unit,
  usual: Range | null,
): TypedUnit {
  const meant = withPrefix(standard.base, prefix)
  const swapped = prefix === 'm' ? 'M' : prefix === 'M' ? 'm' : null
  const other = swapped ? withPrefix(standard.base, swapped) : null
  if (!meant)
    return other
      ? { kind: 'ask', typed, units: [other, standard] }
      : { kind: 'error', error: `"${typed}" does not go with ${shownName(standard)}: type the whole unit.` }
  if (!other) return { kind: 'unit', unit: meant }
  return doubtful(value, meant, other, standard, usual)
    ? { kind: 'ask', typed, units: [meant, other] }
    : { kind: 'unit', unit: meant }
}

/**
 * With a range to go by, a prefix is doubted when the other one comes nearer to it. Without, M is doubted
 * where the check does not ask in mega, and m where it does.
 */
function doubtful(value: number, meant: Unit, other: Unit, standard: Unit, usual: Range | null): boolean {
  if (usual && usual.unit === standard.base)
    return decadesOff(toBase(value, other), usual) < decadesOff(toBase(value, meant), usual)
  return meant.factor > 1 !== standard.factor >= 1e6
}

/** How many powers of ten a value is away from a range. */
function decadesOff(value: number, range: Range): number {
  const size = Math.abs(value)
  if (size === 0) return 0
  if (range.max !== null && size > range.max) return Math.log10(size / Math.max(range.max, 1e-12))
  if (range.min !== null && size < range.min) return Math.log10(range.min / size)
  return 0
}

/** The choices of a question about m or M: each text is read without doubt. */
export function unitChoices(
  value: string,
  numeric: number,
  units: Unit[],
): { text: string; means: string }[] {
  return units.map(unit => ({
    text: `${value} ${unit.shown}`,
    means: formatIn(numeric, unit.symbol, unit.symbol),
  }))
}

/** A unit named in a message; a plain ratio has no symbol of its own. */
export function shownName(unit: Unit): string {
  return unit.shown === '' ? 'a plain number' : unit.shown
}

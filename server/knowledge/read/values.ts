// The small values of keys and cells. Each reader gives null for what it can't read.

import { convert } from '../../measurement/readings/units.ts'
import { isCheckMethod } from '../roles.ts'
import type { CheckMethod, FitCondition } from '../types.ts'

/** `3 min`, `1.5 min` or `2 h`, as minutes. */
export function readMinutes(text: string): number | null {
  const match = /^(\d{1,5}(?:\.\d{1,3})?) ?(min|h)$/.exec(text.trim())
  if (!match) return null
  return Number(match[1]) * (match[2] === 'h' ? 60 : 1)
}

/** `5 %`, from 0 up to 50, as a fraction. */
export function readSlip(text: string): number | null {
  const match = /^(\d{1,2}(?:\.\d{1,3})?) ?%$/.exec(text.trim())
  const percent = match ? Number(match[1]) : Number.NaN
  return percent <= 50 ? percent / 100 : null
}

/** A number above zero. */
export function readShare(text: string): number | null {
  const share = /^\d{1,9}(?:\.\d{1,6})?$/.test(text.trim()) ? Number(text) : 0
  return share > 0 ? share : null
}

/** `2027-11-01`, a day that is in the calendar. */
export function readDay(text: string): string | null {
  const day = text.trim()
  if (!/^\d{4}-\d{2}-\d{2}$/.test(day)) return null
  const at = new Date(`${day}T00:00:00Z`)
  return Number.isNaN(at.getTime()) || at.toISOString().slice(0, 10) !== day ? null : day
}

export function readYes(text: string): boolean | null {
  const word = text.trim().toLowerCase()
  return word === 'yes' ? true : word === 'no' ? false : null
}

/** `four-wire`, `volt drop` or `insulation test`. */
export function readMethod(text: string): CheckMethod | null {
  const word = text.trim().toLowerCase()
  return isCheckMethod(word) ? word : null
}

/** `arming tone, opposite direction`: the name of a limit for the tone of one direction. */
export function readToneName(name: string): { purpose: string; direction: string } | null {
  const match = /^(\S.*), (\S.*) direction$/.exec(name.trim())
  return match && { purpose: match[1] ?? '', direction: match[2] ?? '' }
}

/** `500 V` or `at most 20 mV`, in volts. */
export function readTestVoltage(text: string): { exactly: number | null; atMost: number | null } | null {
  const match = /^(at most )?(\d{1,5}(?:\.\d{1,3})?) ?(mV|V|kV)(?: DC)?$/.exec(text.trim())
  if (!match) return null
  const volts = convert(Number(match[2]), match[3] ?? 'V', 'V')
  return match[1] ? { exactly: null, atMost: volts } : { exactly: volts, atMost: null }
}

/** `50 Hz`, `65 kHz` or `DC`, in hertz. */
export function readFrequency(text: string): number | null {
  if (text.trim() === 'DC') return 0
  const match = /^(\d{1,6}(?:\.\d{1,3})?) ?(Hz|kHz|MHz)$/.exec(text.trim())
  return match ? convert(Number(match[1]), match[2] ?? 'Hz', 'Hz') : null
}

const END_MEANINGS = ['no fault found', 'not tested', 'pass on', 'healthy'] as const

export function readEnd(text: string): (typeof END_MEANINGS)[number] | null {
  const word = text.trim().toLowerCase()
  return END_MEANINGS.find(meaning => meaning === word) ?? null
}

export function readKind(text: string): 'fault' | 'round' | null {
  const word = text.trim().toLowerCase()
  return word === 'fault' || word === 'round' ? word : null
}

/** `site` is false, `sealed` is true. */
export function readSealed(text: string): boolean | null {
  const word = text.trim().toLowerCase()
  return word === 'sealed' ? true : word === 'site' ? false : null
}

/** A cell's words, or null for an empty cell or a dash. */
export function readCell(text: string | undefined): string | null {
  const cell = (text ?? '').trim()
  return /^[-–—]?$/.test(cell) ? null : cell
}

/** `S1 and S2` or `S1, S2`. */
export function readNames(text: string): string[] {
  return text
    .split(/,|\band\b/)
    .map(name => name.trim())
    .filter(name => name !== '')
}

/** Does a unit's cell of conditions say `superseded`: it may stay, and a newer variant takes its place? */
export function readSuperseded(text: string): boolean {
  return text.split(';').some(part => part.trim().toLowerCase() === SUPERSEDED)
}

const SUPERSEDED = 'superseded'

/**
 * `direction is normal; duty is overspeed or speed restriction`. `anywhere` and `superseded` are no conditions.
 */
export function readConditions(text: string): FitCondition[] | null {
  const cell = readCell(text)
  if (cell === null || cell.toLowerCase() === 'anywhere') return []
  const conditions: FitCondition[] = []
  for (const part of cell.split(';')) {
    if (readSuperseded(part)) continue
    const match = /^\s*(\S[^;]*?)\s+is\s+(\S.*)$/.exec(part)
    if (!match) return null
    const values = (match[2] ?? '').split(/\s+or\s+/).map(value => value.trim())
    conditions.push({ fact: match[1] ?? '', values })
  }
  return conditions
}

/**
 * A limit's value: the range as written, and where it applies (`at most 2, where duty is overspeed`). Null where
 * the words after `where` can't be read.
 */
export function readLimitValue(text: string): { range: string; where: FitCondition[] } | null {
  const match = /^(.*?), where (.+)$/.exec(text)
  if (!match) return { range: text, where: [] }
  const where = readConditions(match[2] ?? '')
  return where && { range: match[1] ?? '', where }
}

/** The choices of a fact, `normal / opposite`; none when the cell holds a unit. */
export function readChoices(text: string): string[] {
  if (!/\s\/\s/.test(text)) return []
  return text
    .split(/\s\/\s/)
    .map(choice => choice.trim())
    .filter(choice => choice !== '')
}

/** Who makes a test after work: `technician` or `second person`; null for anything else. */
export function readTester(text: string): 'technician' | 'second person' | null {
  const said = text.trim().toLowerCase()
  return said === 'technician' || said === 'second person' ? said : null
}

// What the instrument shows, or the eye sees, at a check of the walk as the equipment stands.

import type { State, World } from '../circuit/world.ts'
import type { Check } from '../knowledge/types.ts'
import { functionFor, type Instrument } from '../measurement/instruments/instrument.ts'
import { getUnit, toBase } from '../measurement/readings/units.ts'
import type { Chance } from './chance.ts'
import { look } from './looks.ts'
import { type OwnMeter, take, takeBetween, typed } from './probes.ts'
import { stateAt } from './state-words.ts'

export interface Asking {
  check: Check
  /** Terminals where they were put; null: as the check says, or where it names no pair. */
  probes: [string, string] | null
  /** What the instruction takes off, out or across has been done. */
  done: boolean
  instrument: Instrument | null
  /** Lower end of what is expected, base unit; null where there is none. */
  expected: number | null
}

/** `text`: as it is typed, or the word chosen; empty where nothing can be recorded. `says`: what shows, in words. */
export interface Shown {
  text: string
  word: string
  says: string
}

/** Whether the check's own instruction changes anything, so that it can be left undone. */
export function changes(check: Check, state: State): boolean {
  return said(stateAt(check, state)) !== said(state)
}

function said({ lifted, out, testLoad, testLoop, leads, newFuse }: State): string {
  const sets = [lifted, out, testLoad, testLoop].map(set => [...set].sort().join())
  return `${sets.join(';')};${leads.join('+')};${newFuse}`
}

/** The state in which it is read. The aspect is as the check wants it, also where the rest was left undone. */
export function stateRead({ check, done }: Asking, state: State): State {
  const after = stateAt(check, state)
  return done ? after : { ...state, due: after.due }
}

/** The pair that the check names, where it names one and is read at no other. */
export function pairOf({ does, title, instruction }: Check): [string, string] | null {
  if (does.kind !== 'measure' || does.between.length !== 2) return null
  const [a, b] = does.between
  const several = /each (?:core|wire) to earth|lowest reading|lower of the two|terminals, joined/i
  return a && b && !several.test(`${title} ${does.quantity} ${instruction}`) ? [a, b] : null
}

/** `chance` gives the instrument's own error: the same for the same instrument, so that reading again tells no more. */
export function showAt(asking: Asking, world: World, state: State, chance: Chance): Shown {
  const { check } = asking
  const now = stateRead(asking, state)
  return check.does.kind === 'measure' ? measured(asking, world, now, chance) : seen(check, world, now)
}

function measured(asking: Asking, world: World, state: State, chance: Chance): Shown {
  const { check, probes, expected } = asking
  const own = ownMeter(asking.instrument)
  const elsewhere = probes !== null && probes.join() !== pairOf(check)?.join()
  const shown = elsewhere
    ? takeBetween(check, probes, world, state, chance, own)
    : take(check, world, state, chance, own)
  if (!shown) return nothing('The model has no such place to measure at. Record that you cannot tell.')
  if (shown.kind === 'live') return nothing('The meter warns of voltage: what it would show means nothing.')
  const text = typed(check, shown, world.site.supplyFuse, expected)
  return { text, word: '', says: saidOf(text) }
}

function saidOf(text: string): string {
  if (text === 'none') return 'The meter shows nothing.'
  if (text === 'OL') return 'The meter shows OL, over its range.'
  return text.startsWith('>') ? `The meter shows more than ${text.slice(1)}.` : `The meter shows ${text}.`
}

const nothing = (says: string): Shown => ({ text: '', word: '', says })

function seen(check: Check, world: World, state: State): Shown {
  const { row } = look(check, world, state)
  if (!row || row.match.kind === 'cannot tell') return nothing('It can’t be told from here.')
  const word = row.match.kind === 'word' ? row.match.word : 'something else'
  return { text: '', word, says: `What there is: ${row.label}.` }
}

/** The errors of the instrument in hand, on the range that holds the reading; a usual one's where none is in hand. */
function ownMeter(instrument: Instrument | null): OwnMeter {
  return usual => {
    const base = BASES.find(([words]) => words.test(usual.function))?.[1]
    const able = instrument && base ? functionFor(instrument, base, 0) : null
    if (!able) return usual
    const unit = getUnit(able.unit)
    const { percent, counts, resolution } = able.accuracy
    return { ...usual, percent, counts, resolution: toBase(resolution, unit) }
  }
}

const BASES: [RegExp, string][] = [
  [/^volts AC/, 'V AC'],
  [/^volts DC/, 'V DC'],
  [/ohms$/, 'ohm'],
  [/insulation/, 'ohm'],
  [/frequency/, 'Hz'],
  [/clamp/, 'A'],
]

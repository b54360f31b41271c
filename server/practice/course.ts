// How the equipment stands after what a record says was done to it: lifted, put back, fitted, changed.

import { size } from '../circuit/network.ts'
import { operate } from '../circuit/operate.ts'
import { OPEN, type State, type World } from '../circuit/world.ts'
import { findCheck } from '../knowledge/graph.ts'
import type { CheckRef, Knowledge } from '../knowledge/types.ts'
import type { DisturbedItem } from '../walk/disturbed.ts'
import type { FaultRecord, Repair } from '../walk/record.ts'
import type { HiddenAt } from './hide-at.ts'
import { stateAfter, stateAt, stateOnceBack } from './state-words.ts'

export interface Standing {
  world: World
  state: State
  /** Whether what was hidden is mended. */
  mended: boolean
  /** Repairs that did not hold, in words. */
  happened: string[]
}

type Entry = { at: string; apply: (standing: Standing) => Standing }

/** `disturbed`: the items of the record, each with its restoration where it is back. */
export function standingAfter(
  knowledge: Knowledge,
  hidden: HiddenAt,
  record: FaultRecord,
  disturbed: DisturbedItem[],
): Standing {
  const begun: Standing = { world: hidden.world, state: hidden.state, mended: false, happened: [] }
  return entriesOf(knowledge, hidden, record, disturbed)
    .sort((a, b) => (a.at < b.at ? -1 : a.at > b.at ? 1 : 0))
    .reduce((standing, { apply }) => apply(standing), begun)
}

function entriesOf(
  knowledge: Knowledge,
  hidden: HiddenAt,
  record: FaultRecord,
  disturbed: DisturbedItem[],
): Entry[] {
  const made = [...record.findings, ...record.proofs].flatMap(entry =>
    'check' in entry && entry.kind !== 'cannot tell' ? [atCheck(knowledge, entry.check, entry.at)] : [],
  )
  const back = disturbed.flatMap(({ item, restoration }): Entry[] =>
    restoration?.how === 'restored' ? [{ at: restoration.at, apply: putBack(item) }] : [],
  )
  const repairs = record.repairs.map(
    (repair): Entry => ({ at: repair.at, apply: standing => repaired(hidden, repair, standing) }),
  )
  return [...made, ...back, ...repairs]
}

function atCheck(knowledge: Knowledge, ref: CheckRef, at: string): Entry {
  const check = findCheck(knowledge, ref)
  return { at, apply: now => (check ? { ...now, state: stateAfter(check, stateAt(check, now.state)) } : now) }
}

function putBack(item: string): Entry['apply'] {
  return now => ({ ...now, state: stateOnceBack(item, now.state) })
}

/** What was done does not mend: the words, or that the cause was another one. */
const MENDS_NOTHING: ReadonlySet<Repair['action']> = new Set(['nothing changed', 'reset'])

function repaired(hidden: HiddenAt, repair: Repair, now: Standing): Standing {
  if (MENDS_NOTHING.has(repair.action)) return now
  const right =
    repair.cause === hidden.cause && (repair.action !== 'fuse replaced' || /fuse/.test(hidden.cause))
  const mended = right ? { ...now, world: structuredClone(hidden.sound), mended: true } : now
  if (repair.action === 'fuse replaced' || (right && mended.world.supply.fuse < OPEN)) return withFuse(mended)
  return repair.action === 'unit replaced' ? withUnit(hidden, repair, mended) : mended
}

/** How many times its rating a fuse takes to blow: common practice, no published source. */
const BLOWS = 1.9

/** A fuse put in on a short blows as the power goes on. */
function withFuse(now: Standing): Standing {
  const state = { ...now.state, newFuse: true }
  const amperes = size(operate(now.world, { ...state, out: new Set() }).mains.amperes('supply feed'))
  if (amperes <= BLOWS * now.world.site.supplyFuse) return { ...now, state }
  const world = structuredClone(now.world)
  world.supply.fuse = OPEN
  return {
    ...now,
    world,
    state: { ...now.state, newFuse: false },
    happened: [...now.happened, 'The new fuse blew as the supply went on.'],
  }
}

/** A unit of another kind or variant than belongs here goes in as what it is. */
function withUnit(hidden: HiddenAt, { swap }: Repair, now: Standing): Standing {
  const world = structuredClone(now.world)
  if (swap && /power/i.test(swap.kind)) world.power = { ...hidden.sound.power }
  else world.module = { ...hidden.sound.module }
  if (!swap?.override) return { ...now, world }
  world.module.variant = 'wrong direction or duty'
  return {
    ...now,
    world,
    mended: false,
    happened: [...now.happened, 'The unit fitted is of the wrong variant.'],
  }
}

/** What the set shows by itself, and what the signaller says: for the eye, without an instrument. */
export function seenNow({ world, state }: Standing): string[] {
  const { telltales, indication } = operate(world, state)
  const lit = (on: boolean) => (on ? 'lit' : 'dark')
  return [
    `Telltales: supply ${lit(telltales.supply)}, drive ${lit(telltales.drive)}, output ${lit(telltales.output)}.`,
    world.site.indication === 'none'
      ? 'The signaller has no indication of this set.'
      : `The signaller’s indication: ${indication}.`,
  ]
}

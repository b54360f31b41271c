// The limits of one kind of equipment as its owner sees them: what each is now, and what is typed for it.

import { type LimitSource, readSource } from '../../../knowledge/editions/set-limits.ts'
import { type LimitState, type LimitUse, limitUses } from '../../../knowledge/limit-use.ts'
import { isDemo } from '../../../knowledge/link/equipment.ts'
import type { Equipment, Knowledge } from '../../../knowledge/types.ts'
import { countWords } from '../../../words.ts'
import type { Mark } from '../../partials.ts'

/** What may be typed for a limit. */
export interface TypedLimit extends LimitSource {
  value: string
  unit: string
}

export interface LimitRow {
  name: string
  line: number
  state: LimitState
  /** As it stands in the file. */
  stored: TypedLimit
  /** How much hangs on it, and the names of the checks. */
  decides: string
  checks: string[]
  /** The draft says something else than what is in use. */
  changed: boolean
}

/** `knowledge`: with the draft over it; `inUse`: without. */
export function limitRows(knowledge: Knowledge, kit: Equipment, inUse: Equipment | undefined): LimitRow[] {
  const before = new Map(
    inUse?.limits.map(limit => [limit.name, `${limit.text} ${limit.unit} ${limit.from}`]),
  )
  return limitUses(knowledge)
    .filter(use => use.kit === kit)
    .map(use => {
      const { name, text, unit, from, source } = use.limit
      return {
        name,
        line: source.line,
        state: use.state,
        stored: { value: text, unit, ...readSource(from) },
        decides: decidesWords(use),
        checks: use.checks.map(check => check.title),
        changed: before.get(name) !== `${text} ${unit} ${from}`,
      }
    })
}

function decidesWords({ checks, trees, causes }: LimitUse): string {
  if (checks.length === 0) return 'No check uses it'
  const minutes = checks.reduce((sum, check) => sum + (check.minutes ?? 0), 0)
  const words = [
    `${countWords(checks.length, 'check')} (${minutes} min) in ${countWords(trees.length, 'tree')}`,
  ]
  if (causes.length > 0) words.push(`${countWords(causes.length, 'repair')} proved by it`)
  return words.join('; ')
}

/** What the form holds before anything is typed: made-up values are shown beside it, not filled in. */
export function startingValue({ state, stored }: LimitRow): TypedLimit {
  return state === 'owner' ? stored : { value: '', unit: stored.unit, source: '', who: '', from: '' }
}

export type Reviewed =
  | { state: 'unchanged' }
  | { state: 'changed' }
  | { state: 'wrong'; field: keyof TypedLimit; why: string }

/** Whether what was typed changes the limit, or why it can't stand. */
export function reviewTyped(row: LimitRow, typed: TypedLimit): Reviewed {
  const { value, source, who, from } = typed
  const untouched = row.state !== 'owner' && value === '' && source === '' && who === '' && from === ''
  if (untouched || sameAs(row.stored, typed)) return { state: 'unchanged' }
  if (source === '' || isDemo(source))
    return {
      state: 'wrong',
      field: 'source',
      why: 'Say where it comes from: a standard, a drawing, a letter.',
    }
  if (value !== '' && typed.unit === '') return { state: 'wrong', field: 'unit', why: 'Give its unit.' }
  if (who.includes(';')) return { state: 'wrong', field: 'who', why: 'Leave out the semicolon.' }
  if (from !== '' && !isDay(from))
    return { state: 'wrong', field: 'from', why: 'Write the day as 2026-03-05.' }
  return { state: 'changed' }
}

function sameAs(stored: TypedLimit, typed: TypedLimit): boolean {
  const names = ['value', 'unit', 'source', 'who', 'from'] as const
  return names.every(name => stored[name] === typed[name])
}

function isDay(text: string): boolean {
  return /^\d{4}-\d\d-\d\d$/.test(text) && !Number.isNaN(Date.parse(text))
}

export const stateMarks: Record<LimitState, Mark> = {
  owner: { kind: 'done', word: 'your own' },
  demo: { kind: 'close', word: 'demo value' },
  blank: { kind: 'no-verdict', word: 'blank' },
}

/** "Now: at most 2 V AC. Demo value, to be replaced …" */
export function nowWords({ state, stored }: LimitRow): string {
  if (state === 'owner') return ''
  const value = state === 'demo' ? `Now ${stored.value} ${stored.unit}. ` : ''
  return `${value}${stored.source}`
}

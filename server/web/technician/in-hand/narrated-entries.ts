import type { Times } from '../../../times.ts'
import type { NarratedRow } from '../../../walk/narrate.ts'
import type { Mark, TimelineEntry } from '../../partials.ts'

const marks: Record<NarratedRow['kind'], Mark> = {
  finding: { kind: 'done', word: 'Found' },
  departure: { kind: 'skipped', word: 'Another check chosen' },
  rejection: { kind: 'struck', word: 'Ruled out' },
  disturbed: { kind: 'disturbed', word: 'Disturbed' },
  'put back': { kind: 'restored', word: 'Put back' },
  repair: { kind: 'done', word: 'Repair' },
  proof: { kind: 'in', word: 'Proof' },
  identity: { kind: 'done', word: 'Plate' },
  hold: { kind: 'hold', word: 'Hold released' },
  handover: { kind: 'waiting', word: 'Handed over' },
}

/** The record told as it happened. */
export function narratedEntries(rows: NarratedRow[], times: Times): TimelineEntry[] {
  return rows.map(row => ({
    ...markOf(row),
    at: times.clock(row.at),
    text: row.what,
    detail: row.found,
    by: row.byName,
    struck: row.struck !== null,
    why: row.struck ? correctedWords(row.struck) : row.because,
  }))
}

function markOf(row: NarratedRow): Mark {
  if (row.struck) return { kind: 'struck', word: 'Struck' }
  if (row.setAside) return { kind: 'open', word: 'Does not count' }
  if (row.offPath) return { kind: 'skipped', word: 'Off the path' }
  return marks[row.kind]
}

function correctedWords({ byName, reason }: { byName: string; reason: string | null }): string {
  return reason ? `Corrected by ${byName}: ${reason}` : `Corrected by ${byName}`
}

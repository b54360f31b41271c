// What a signature is bound to: every row of the fault as it stood when it was signed, with the name, the time and the
// meaning. Nothing can be added to a closed fault, so the same hash can be worked out from the database at any time.

import { sha256 } from '#platform'
import type { Database } from '../engine/database.ts'
import type { Value } from '../engine/watched.ts'

export interface Signing {
  faultId: string
  at: string
  by: string
  printedName: string
  meaning: string
}

const ofFault = [
  ...['attendances', 'closures', 'conditions', 'disturbances', 'findings', 'hold_releases', 'handovers'],
  ...['identities', 'proofs', 'repairs', 'restorations'],
]
const ofHandover = ['handover_items', 'handover_confirmations']

/** Gives a function to the SHA-256, hexadecimal. */
export function createSignedContent(db: Database): (signing: Signing) => string {
  const inHandovers = 'handover_id IN (SELECT id FROM handovers WHERE fault_id = ?)'
  const parts = [
    { name: 'faults', rows: db.prepare<[string], Row>('SELECT * FROM faults WHERE id = ?') },
    ...ofFault.map(name => ({
      name,
      rows: db.prepare<[string], Row>(`SELECT * FROM ${name} WHERE fault_id = ?`),
    })),
    ...ofHandover.map(name => ({
      name,
      rows: db.prepare<[string], Row>(`SELECT * FROM ${name} WHERE ${inHandovers}`),
    })),
  ]
  return ({ faultId, at, by, printedName, meaning }) =>
    sha256(
      JSON.stringify([
        { faultId, at, by, printedName, meaning },
        parts.map(({ name, rows }) => [name, rows.all(faultId).map(said).sort()]),
      ]),
    )
}

type Row = Record<string, Value>

/** A row's columns by name, those without a value left out; the attendance that signs has not ended yet. */
function said(row: Row): string {
  const closing = row.ended_how === 'closed'
  const kept = Object.entries(row).filter(
    ([name, value]) => value !== null && !(closing && name.startsWith('ended_')) && name !== 'override_by',
  )
  return JSON.stringify(kept.sort(([a], [b]) => (a < b ? -1 : 1)))
}

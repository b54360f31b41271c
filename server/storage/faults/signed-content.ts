// What a signature is bound to: every row of the fault as it stood when it was signed, with the name, the time and the
// meaning. Nothing can be added to a closed fault, so the same hash can be worked out from the database at any time.

import { sha256 } from '#platform'
import { type Connection, sql } from '../engine/sql.ts'
import type { Value } from '../engine/watched.ts'

export interface Signing {
  faultId: string
  at: string
  by: string
  printedName: string
  meaning: string
  /** JSON: ids of rows that whoever signed without signal had not; null when there are none. */
  unseen: string | null
}

const rowsWhere = (condition: string) => (name: string) => ({
  name,
  rows: sql<[string], Row>(`SELECT * FROM ${name} WHERE ${condition}`),
})

/** Each table with the rows of a fault. */
const parts = [
  ...['faults'].map(rowsWhere('id = ?')),
  ...[
    'attendances',
    'closures',
    'conditions',
    'disturbances',
    'findings',
    'hold_releases',
    'handovers',
    'identities',
    'proofs',
    'repairs',
    'restorations',
  ].map(rowsWhere('fault_id = ?')),
  ...['handover_items', 'handover_confirmations'].map(
    rowsWhere('handover_id IN (SELECT id FROM handovers WHERE fault_id = ?)'),
  ),
]

/** As `parts`, of tables that came later: without a row there they say nothing, so that older signatures still hold. */
const laterParts = [
  rowsWhere('handover_id IN (SELECT id FROM handovers WHERE fault_id = ?)')('handover_withdrawals'),
  rowsWhere('attendance_id IN (SELECT id FROM attendances WHERE fault_id = ?)')('taken_over_items'),
]

/** SHA-256, hexadecimal. */
export function hashSigned(
  db: Connection,
  { faultId, at, by, printedName, meaning, unseen }: Signing,
): string {
  const others = new Set<Value>(unseen === null ? [] : JSON.parse(unseen))
  const seen = (rows: Row[]) =>
    rows.filter(row => ![row.id, row.handover_id, row.attendance_id].some(id => id && others.has(id)))
  return sha256(
    JSON.stringify([
      { faultId, at, by, printedName, meaning },
      [
        ...parts.map(({ name, rows }) => [name, texts(seen(rows(db).all(faultId)))] as const),
        ...laterParts
          .map(({ name, rows }) => [name, texts(seen(rows(db).all(faultId)))] as const)
          .filter(([, rows]) => rows.length > 0),
      ],
    ]),
  )
}

type Row = Record<string, Value>

const texts = (rows: Row[]): string[] => rows.map(asText).sort()

/** A row's columns by name, those without a value left out; the attendance that signs has not ended yet. */
function asText(row: Row): string {
  const closing = row.ended_how === 'closed'
  const signed = Object.entries(row).filter(
    ([name, value]) => value !== null && !(closing && name.startsWith('ended_')) && name !== 'override_by',
  )
  return JSON.stringify(signed.sort(([a], [b]) => (a < b ? -1 : 1)))
}

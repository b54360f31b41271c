// Rows that a large import has written and that do not count yet: no query may find them.

/** Tables whose rows may be on record and not in force. What belongs to a fault goes with its fault. */
export type InForceTable = 'imports' | 'faults' | 'daily_temperatures'

/**
 * SQL that is true when the row of that table with this key is in force; `key` is an expression, such as `f.id`. Where
 * no import is under way it is settled once for the whole statement.
 */
export function inForce(table: InForceTable, key: string): string {
  return `(NOT EXISTS (SELECT 1 FROM not_in_force)
    OR NOT EXISTS (SELECT 1 FROM not_in_force z WHERE z.subject = '${table}' AND z.key = ${key}))`
}

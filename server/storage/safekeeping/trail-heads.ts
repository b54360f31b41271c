// The heads that stand beside the backups, held against a database: what was there at each backup must be there still.

import path from 'node:path'
import type { Connection } from '../engine/sql.ts'
import { type Backup, endOf, noteIn } from './backup-folder.ts'
import { holdsEntry, type TrailEnd, trailEnd } from './trail-end.ts'

const MAX_LINES = 5

/**
 * One line for each backup whose newest entry is not in the trail, and one for those of another database; empty when the
 * database goes on from all of them. Throws what SQLite throws when the trail can't be read.
 */
export function missingHeads(db: Connection, backups: Backup[]): string[] {
  const { database } = trailEnd(db)
  const ends = backups.flatMap(backup => {
    const end = endBeside(backup.file)
    return end === null || holdsEntry(db, end) ? [] : [{ name: path.basename(backup.file), end }]
  })
  const cut = ends.filter(({ end }) => end.database === null || end.database === database)
  const others = ends.filter(({ end }) => end.database !== null && end.database !== database)
  const lines = cut.map(
    ({ name, end }) =>
      `Entry ${end.entries} of the trail is not the one that was backed up in ${name}: the trail’s end is missing or was changed.`,
  )
  return [
    ...lines.slice(0, MAX_LINES),
    ...(lines.length > MAX_LINES ? [`And ${lines.length - MAX_LINES} more backups.`] : []),
    ...(others.length > 0 ? [ofAnother(others.map(({ name }) => name))] : []),
  ]
}

function ofAnother(names: string[]): string {
  const count = names.length === 1 ? '1 backup is' : `${names.length} backups are`
  return `${count} of another database (${names[0]}): either this is not the right database, or its trail was made anew.`
}

/** What the note says; what the file says when there is no note, or it does not say of which database it is. */
function endBeside(file: string): TrailEnd | null {
  const note = noteIn(file)
  if (note === null) return endOf(file)
  const database = note.database ?? endOf(file)?.database ?? null
  return { database, entries: note.entries, head: note.head }
}

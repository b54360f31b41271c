// Whether the file under the database's name is still the one that is open. When it was replaced or removed, what is
// written goes into a file without a name and is lost at the next start: so nothing is written any more, and what is
// open is saved as a backup.

import { statSync } from 'node:fs'
import type { Logger } from 'pino'

export interface DatabaseWatch {
  /** Throws, as SQLite does for a moved database, when the file is another. Asked before each commit. */
  mayCommit(): void
  /** What is the matter; null when nothing is. */
  trouble(): string | null
  stop(): void
}

interface Watched {
  file: string
  log: Logger
  /** Makes a backup of what is open; gives where it is. Null where no backups are made. */
  save: (() => Promise<string>) | null
  everyMs?: number
}

/** Begins to watch the file of a database that is open. */
export function watchDatabase({ file, log, save, everyMs = 5_000 }: Watched): DatabaseWatch {
  const isAnother = changeOf([file, `${file}-wal`])
  let isNoticed = false
  let saved = ''

  const look = () => {
    if (isNoticed || !isAnother()) return
    isNoticed = true
    log.error({ file }, 'the database file was replaced or removed: nothing is recorded any more')
    if (!save) return
    rescue(save, log).then(words => {
      saved = words
    })
  }
  const timer = setInterval(look, everyMs)
  timer.unref()
  return {
    mayCommit() {
      if (!isAnother()) return
      look()
      throw Object.assign(new Error(`${file} was replaced or removed`), { code: 'SQLITE_READONLY_DBMOVED' })
    },
    trouble: () =>
      isAnother()
        ? `The database file ${file} was replaced or removed while the program runs. Nothing is recorded.${saved}`
        : null,
    stop: () => clearInterval(timer),
  }
}

/** Whether one of the files is no longer the one that was there first; the log is made with the first write. */
function changeOf(names: string[]): () => boolean {
  const opened = names.map(identityOf)
  return () =>
    names.some((name, index) => {
      const now = identityOf(name)
      opened[index] ??= now
      return now !== opened[index]
    })
}

/** Saves what is open as a backup; gives what to say of it. Never rejects. */
async function rescue(save: () => Promise<string>, log: Logger): Promise<string> {
  try {
    const place = await save()
    log.error({ place }, 'what was recorded in the database before is saved as a backup')
    return ` What was recorded is saved in ${place}: stop the program, and restore that.`
  } catch (error) {
    log.error({ err: error }, 'what was recorded in the database before could not be saved')
    return ' What was recorded could not be saved: do not stop the program before it is copied.'
  }
}

/** Device and number of the file; null when it is not there, or can't be looked at. */
function identityOf(name: string): string | null {
  try {
    const { dev, ino } = statSync(name, { bigint: true })
    return `${dev} ${ino}`
  } catch {
    return null
  }
}

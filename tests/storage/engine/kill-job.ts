// A process that does one long job again and again until it is killed. After each it says on stdout what is kept by it,
// one JSON line each. Usage: kill-job.ts JOB FOLDER

import { copyFileSync, renameSync, rmSync, writeSync } from 'node:fs'
import path from 'node:path'
import { hashEdition } from '../../../server/knowledge/load.ts'
import { openLibrary } from '../../../server/library.ts'
import { openDatabase } from '../../../server/storage/engine/database.ts'
import { migrate } from '../../../server/storage/engine/migrate.ts'
import { backUp } from '../../../server/storage/safekeeping/backup.ts'
import { listBackups } from '../../../server/storage/safekeeping/backup-folder.ts'
import { restorePhotos } from '../../../server/storage/safekeeping/photo-backup.ts'
import { putInUse } from '../../../server/storage/safekeeping/restore.ts'
import { createStorage } from '../../../server/storage/storage.ts'
import { type Job, ROWS, withOneMore } from './kill-jobs.ts'

const [job = '', dir = ''] = process.argv.slice(2)
const database = path.join(dir, 'fourfoot.db')
const NOW = new Date('2026-03-02T09:00:00.000Z')

const jobs: Record<Job, () => Promise<void> | void> = {
  publish() {
    const storage = createStorage(openDatabase(database), () => new Date())
    const library = openLibrary(storage, 'tests/support/knowledge')
    for (;;) {
      const over = library.current().id
      const id = crypto.randomUUID()
      const [first, ...others] = library.files(over)
      if (!first) throw new Error('no knowledge')
      const files = [{ ...first, text: `${first.text}\nMore words: ${id}.\n` }, ...others]
      const made = { id, path: first.path, baseEditionId: over, by: 'eve', textId: id, text: '' }
      // The one that is there already, where the last kill fell behind its beginning.
      const draft = storage.drafts.begin(made)
      const put = [{ path: first.path, draftId: draft.id, text: '' }]
      storage.proposals.create({ id, by: 'eve', baseEditionId: over, note: id, files: put, writers: [] })
      storage.drafts.end(draft.id, 'published')
      library.publish(files, over, { id, by: 'eve', note: id, proposalId: id })
      say(hashEdition(files))
    }
  },
  import() {
    const storage = createStorage(openDatabase(database), () => new Date())
    for (;;) {
      const id = crypto.randomUUID()
      const rows = Array.from({ length: ROWS }, (_, line) => ({
        ...{ line, name: `${id} ${line}`, railwayLine: 'Main' },
        ...{ mileage: `${line} m`, access: 'gate' },
      }))
      const file = { fileName: 'sites.csv', sha256: id, columns: {}, leftOut: 0, editionId: 'e1' }
      storage.imports.load({ ...file, id, by: 'eve' }, { subject: 'sites', rows })
      say(id)
    }
  },
  async backup() {
    const db = openDatabase(database)
    for (;;) say((await backUp(db, dir, path.join(dir, 'backups'), new Date())).file)
  },
  async restore() {
    const backups = listBackups(path.join(dir, 'backups'))
    for (let n = 0; ; n++) {
      const { file = '' } = backups[n % backups.length] ?? {}
      await putInUse(file, database, NOW)
      await restorePhotos(file, dir, NOW)
      say(file)
    }
  },
  migration() {
    for (;;) {
      for (const end of ['-wal', '-shm']) rmSync(database + end, { force: true })
      copyFileSync(path.join(dir, 'before.db'), `${database}.new`)
      renameSync(`${database}.new`, database)
      say('copied')
      const db = openDatabase(database)
      migrate(db, withOneMore(), NOW.toISOString())
      db.close()
      say('migrated')
    }
  },
}

await jobs[job as Job]()

function say(kept: string): void {
  writeSync(1, `${JSON.stringify(kept)}\n`)
}

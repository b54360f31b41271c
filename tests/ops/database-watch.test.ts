import { copyFileSync, mkdtempSync, renameSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import pino from 'pino'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { type DatabaseWatch, watchDatabase } from '../../server/ops/database-watch.ts'
import { storageTrouble } from '../../server/storage/engine/trouble.ts'
import { backUp } from '../../server/storage/safekeeping/backup.ts'
import { createStorage, type Storage } from '../../server/storage/storage.ts'
import { makeFault, makeStorage, observation } from '../storage/make.ts'

const NOW = new Date('2026-03-02T09:00:00.000Z')
const log = pino({ level: 'silent' })
let dir: string
let file: string
let watch: DatabaseWatch
let storage: Storage
let close: () => void
beforeEach(() => {
  dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-watch-'))
  file = path.join(dir, 'fourfoot.db')
  const { db } = makeFault(file)
  const save = async () => (await backUp(db, dir, path.join(dir, 'backups'), NOW)).file
  watch = watchDatabase({ file, log, save, everyMs: 20 })
  storage = createStorage(db, () => NOW, { mayCommit: watch.mayCommit })
  storage.findings.add(observation)
  close = () => db.close()
})
afterEach(() => {
  watch.stop()
  close()
  rmSync(dir, { recursive: true })
})

function troubleOfWriting(id: string): string {
  try {
    storage.findings.add({ ...observation, id })
    return 'none'
  } catch (error) {
    return storageTrouble(error) ?? String(error)
  }
}

const gone: [string, () => void][] = [
  ['removed', () => rmSync(file)],
  ['renamed', () => renameSync(file, `${file}.old`)],
  [
    'replaced by a copy',
    () => {
      copyFileSync(file, `${file}.copy`)
      renameSync(`${file}.copy`, file)
    },
  ],
  ['robbed of its log', () => rmSync(`${file}-wal`)],
]

describe('a database whose file is', () => {
  it.each(gone)('%s takes no more, and says so to engineers', (_, spoil) => {
    expect([troubleOfWriting('before'), watch.trouble()]).toEqual(['none', null])
    spoil()
    expect(troubleOfWriting('after')).toMatch(/file was replaced or removed, so nothing can be recorded/)
    expect(watch.trouble()).toMatch(/was replaced or removed while the program runs/)
    expect(storage.faults.get('fault').findings).toHaveLength(2)
  })

  it.each(gone)('%s has what was recorded saved as a backup, without a write', async (_, spoil) => {
    spoil()
    await vi.waitFor(() => expect(watch.trouble()).toMatch(/is saved in .*fourfoot-000001-.*\.db/), 10_000)
    const place = /saved in (\S+\.db):/.exec(watch.trouble() ?? '')?.[1] ?? ''
    const saved = makeStorage(place)
    expect(saved.storage.faults.get('fault').findings).toHaveLength(1)
    saved.db.close()
  })

  it('moved back is written to again', () => {
    renameSync(file, `${file}.old`)
    expect(troubleOfWriting('away')).toMatch(/replaced or removed/)
    renameSync(`${file}.old`, file)
    expect(troubleOfWriting('back')).toBe('none')
  })

  it('replaced where no backup can be made is said to be at risk', async () => {
    writeFileSync(path.join(dir, 'backups'), 'a file')
    rmSync(file)
    await vi.waitFor(() => expect(watch.trouble()).toMatch(/could not be saved/), 5_000)
  })
})

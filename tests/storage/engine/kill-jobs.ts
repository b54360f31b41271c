// Kills a process again and again in the middle of a long job (publishing, bringing in a file, a backup, a restore, a
// migration), and looks whether what was there before and what it had said was done is there, and nothing by halves.

import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { copyFileSync, existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { hashEdition } from '../../../server/knowledge/load.ts'
import { openLibrary } from '../../../server/library.ts'
import { openDatabase } from '../../../server/storage/engine/database.ts'
import { type Migration, migrate, schemaVersion } from '../../../server/storage/engine/migrate.ts'
import { readMigrations } from '../../../server/storage/engine/migration-files.ts'
import { backUp, readNote } from '../../../server/storage/safekeeping/backup.ts'
import { listBackups } from '../../../server/storage/safekeeping/backup-folder.ts'
import { photoPath, savePhotoFile } from '../../../server/storage/safekeeping/photo-files.ts'
import { rehearse } from '../../../server/storage/safekeeping/restore.ts'
import { verifyDatabase } from '../../../server/storage/safekeeping/verify.ts'
import { seeded } from '../../knowledge/generated.ts'
import { jpeg } from '../../support/pictures.ts'
import { type Made, makeFault, mine, observation, storageOver } from '../make.ts'
import type { Killed } from './kill.ts'

export const jobs = ['publish', 'import', 'backup', 'restore', 'migration'] as const
export type Job = (typeof jobs)[number]

/** Of each file that is brought in. */
export const ROWS = 400
/** Of the fault that makes the database worth a while of copying. */
const FINDINGS = 800
const NOW = new Date('2026-03-02T09:00:00.000Z')
const migrations = readMigrations('migrations')

/** The program's own migrations, and one more that is long enough to be killed in. */
export function withOneMore(): Migration[] {
  const number = String(migrations.length + 1).padStart(4, '0')
  const sql = `
    CREATE TABLE spare (seq INTEGER NOT NULL PRIMARY KEY, hash TEXT NOT NULL, words TEXT) STRICT;
    INSERT INTO spare (seq, hash) SELECT seq, hash FROM trail;
    ALTER TABLE sites ADD COLUMN region TEXT;
    UPDATE spare SET words = hash || seq;
    CREATE INDEX spare_words ON spare (words);
    CREATE INDEX trail_hashes ON trail (hash, content);
    DELETE FROM spare;`
  return [...migrations, { name: `${number}-spare`, sql }]
}

/** Does each job on a folder of its own and kills it `each` times at drawn moments. */
export async function killJobs(each: number): Promise<Killed> {
  const damage: string[] = []
  let acknowledged = 0
  for (const [index, job] of jobs.entries()) {
    const killed = await killJob(job, each, seeded(4700 + index))
    acknowledged += killed.acknowledged
    damage.push(...killed.damage.map(line => `${job}: ${line}`))
  }
  return { kills: each * jobs.length, acknowledged, damage }
}

async function killJob(job: Job, kills: number, random: () => number): Promise<Killed> {
  const dir = mkdtempSync(path.join(tmpdir(), `fourfoot-kill-${job}-`))
  const kept: string[] = []
  const damage: string[] = []
  try {
    await prepare(dir)
    for (let n = 0; n < kills; n++) {
      kept.push(...(await workUntilKilled(job, dir, random)))
      damage.push(...(await lookAt(job, dir, kept)))
    }
    return { kills, acknowledged: kept.length, damage }
  } finally {
    rmSync(dir, { recursive: true })
  }
}

/** A database with a picture, two backups between which there was work, and a copy of it to migrate. */
async function prepare(dir: string): Promise<void> {
  const database = path.join(dir, 'fourfoot.db')
  const backups = path.join(dir, 'backups')
  const made = makeFault(database)
  const sha256 = savePhotoFile(dir, jpeg)
  const picture = { sha256, bytes: jpeg.length, type: 'image/jpeg' as const, words: null }
  work(made, 'first')
  made.storage.photos.add({ ...mine, ...picture, id: 'clip', findingId: 'first 0', reportId: null })
  await backUp(made.db, dir, backups, NOW)
  work(made, 'second')
  await backUp(made.db, dir, backups, NOW)
  made.db.close()
  copyFileSync(database, path.join(dir, 'before.db'))
}

function work({ storage }: Made, name: string): void {
  storage.transaction(() => {
    for (let n = 0; n < FINDINGS / 2; n++) storage.findings.add({ ...observation, id: `${name} ${n}` })
  })
}

/** What the process said was kept. It is killed once it has said some, within about the time that one more takes. */
async function workUntilKilled(job: Job, dir: string, random: () => number): Promise<string[]> {
  const script = path.join(import.meta.dirname, 'kill-job.ts')
  const child = spawn(process.execPath, [script, job, dir], { stdio: ['ignore', 'pipe', 'pipe'] })
  const ended = once(child, 'close')
  const enough = 2 + Math.floor(random() * 3)
  let said = ''
  let complaint = ''
  let began: number | null = null
  let isOver = false
  child.stdout.on('data', chunk => {
    said += chunk
    began ??= performance.now()
    const count = said.split('\n').length - 1
    if (isOver || count < enough) return
    isOver = true
    const one = (performance.now() - began) / Math.max(1, count - 1)
    setTimeout(() => child.kill('SIGKILL'), random() * one)
  })
  child.stderr.on('data', chunk => {
    complaint += chunk
  })
  const [, signal] = await ended
  if (signal !== 'SIGKILL') throw new Error(`${job} ended by itself: ${complaint}`)
  const lines = said.slice(0, said.lastIndexOf('\n') + 1).split('\n')
  return lines.filter(line => line !== '').map(line => JSON.parse(line) as string)
}

/** What is wrong with the folder, one line each. */
function lookAt(job: Job, dir: string, kept: string[]): Promise<string[]> | string[] {
  switch (job) {
    case 'publish':
      return inDatabase(dir, made => published(made, kept))
    case 'import':
      return inDatabase(dir, made => broughtIn(made, kept))
    case 'backup':
      return backedUp(dir, kept)
    case 'restore':
      return inDatabase(dir, made => restored(made, dir))
    case 'migration':
      return migrated(dir)
  }
}

function inDatabase(dir: string, look: (made: Made) => string[]): string[] {
  const database = path.join(dir, 'fourfoot.db')
  if (!existsSync(database)) return ['the database is gone']
  const db = openDatabase(database)
  try {
    return [...verifyDatabase(db, null, { migrations }).problems, ...look(storageOver(db))]
  } finally {
    db.close()
  }
}

/** The program starts on it, and each edition has all its files. */
function published({ storage }: Made, kept: string[]): string[] {
  const library = openLibrary(storage, 'tests/support/knowledge')
  const inUse = storage.publications.list().map(({ editionId }) => editionId)
  return [
    ...kept.filter(id => !inUse.includes(id)).map(id => `lost: edition ${id}`),
    ...inUse.flatMap(id =>
      id === 'e1' || hashEdition(library.files(id)) === id ? [] : [`torn: edition ${id}`],
    ),
  ]
}

/** Each import has all its rows, and no row is without its import. */
function broughtIn({ db, storage }: Made, kept: string[]): string[] {
  const rows = db
    .prepare<[], { id: string; count: number }>(`
      SELECT substr(name, 1, 36) AS id, count(*) AS count FROM sites WHERE id NOT IN ('s1', 's2') GROUP BY 1`)
    .all()
  return [
    ...kept.filter(id => !rows.some(row => row.id === id)).map(id => `lost: import ${id}`),
    ...rows
      .filter(({ id, count }) => count !== ROWS || storage.imports.find(id) === null)
      .map(({ id, count }) => `torn: ${count} rows of import ${id}`),
  ]
}

/** Each backup in the list is whole, the newest can be restored, and another can be made. */
async function backedUp(dir: string, kept: string[]): Promise<string[]> {
  const folder = path.join(dir, 'backups')
  const listed = listBackups(folder).map(({ file }) => file)
  const damage = kept.filter(file => !listed.includes(file)).map(file => `lost: ${file}`)
  const complain = (error: unknown) => void damage.push(String(error))
  for (const file of listed) await readNote(file).catch(complain)
  const [newest = ''] = listed
  await rehearse(newest, migrations, NOW).catch(complain)
  return [...damage, ...inDatabase(dir, () => [])]
}

/** One of the two backups is in use, and the picture is there. */
function restored({ storage }: Made, dir: string): string[] {
  const { findings } = storage.faults.get('fault')
  const file = photoPath(dir, storage.photos.get('clip').sha256)
  const isThere = existsSync(file) && readFileSync(file).equals(jpeg)
  return [
    ...([FINDINGS / 2, FINDINGS].includes(findings.length) ? [] : [`torn: ${findings.length} findings`]),
    ...(isThere ? [] : ['the picture is gone']),
  ]
}

/** As before or as after, and as after once it is done again. */
function migrated(dir: string): string[] {
  const database = path.join(dir, 'fourfoot.db')
  const db = openDatabase(database)
  const all = withOneMore()
  try {
    const version = schemaVersion(db)
    const problems = () => verifyDatabase(db, null, { migrations: all }).problems
    const half = problems()
    migrate(db, all, NOW.toISOString())
    return [
      ...(version === all.length || version === migrations.length ? [] : [`version ${version}`]),
      ...half,
      ...problems(),
    ]
  } finally {
    db.close()
  }
}

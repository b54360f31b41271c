// Kills a writing process again and again, and looks whether anything it had acknowledged is gone or anything is torn.

import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { AppError } from '../../../server/errors.ts'
import { verifyDatabase } from '../../../server/storage/safekeeping/verify.ts'
import type { Storage } from '../../../server/storage/storage.ts'
import type { FaultRecord } from '../../../server/walk/record.ts'
import { seeded } from '../../knowledge/generated.ts'
import { type Made, makeRailway, makeStorage, observation } from '../make.ts'
import type { Acknowledged } from './kill-writer.ts'

export interface Killed {
  kills: number
  /** Writes the process had said were done. */
  acknowledged: number
  /** What is wrong, one line each; a lost write is one. */
  damage: string[]
}

/** Runs the writer on one database file and kills it `kills` times at drawn moments; looks at the file after each. */
export async function killWriters(kills: number): Promise<Killed> {
  const dir = mkdtempSync(join(tmpdir(), 'fourfoot-kill-'))
  const path = join(dir, 'kill.db')
  const damage: string[] = []
  const acknowledged: Acknowledged[] = []
  const random = seeded(4700)
  try {
    makeRailway(path).db.close()
    for (let n = 0; n < kills; n++) {
      acknowledged.push(...(await writeUntilKilled(path, random)))
      damage.push(...lookAt(path, acknowledged))
    }
    damage.push(...verified(path))
    return { kills, acknowledged: acknowledged.length, damage }
  } finally {
    rmSync(dir, { recursive: true })
  }
}

/** Every row and every signature has its entry in the trail, and no entry is without its row. */
function verified(path: string): string[] {
  const { db } = makeStorage(path)
  const { problems } = verifyDatabase(db)
  db.close()
  return problems
}

async function writeUntilKilled(path: string, random: () => number): Promise<Acknowledged[]> {
  const script = join(import.meta.dirname, 'kill-writer.ts')
  const child = spawn(process.execPath, [script, path], {
    stdio: ['ignore', 'pipe', 'pipe'],
  })
  const ended = once(child, 'close')
  let said = ''
  let writes = 5 + Math.floor(random() * 60)
  let complaint = ''
  child.stdout.on('data', chunk => {
    said += chunk
    // Counted in writes, not in time: however slow the disk, every kill falls among writes.
    if (said.split('\n').length <= writes) return
    writes = Number.POSITIVE_INFINITY
    setTimeout(() => child.kill('SIGKILL'), random() * 20)
  })
  child.stderr.on('data', chunk => {
    complaint += chunk
  })
  const [, signal] = await ended
  if (signal !== 'SIGKILL') throw new Error(`The writer ended by itself: ${complaint}`)
  const lines = said.slice(0, said.lastIndexOf('\n') + 1).split('\n')
  return lines.filter(line => line !== '').map(line => JSON.parse(line) as Acknowledged)
}

/** Opens the file as a start does, and reads everything that was acknowledged. */
function lookAt(path: string, acknowledged: Acknowledged[]): string[] {
  const made = makeStorage(path)
  try {
    const integrity = made.db.pragma('integrity_check', { simple: true })
    const pointers = made.db.pragma('foreign_key_check') as unknown[]
    return [
      ...(integrity === 'ok' ? [] : [`integrity_check: ${integrity}`]),
      ...(pointers.length === 0 ? [] : [`${pointers.length} rows point at nothing`]),
      ...lost(made.storage, acknowledged),
      ...halfMade(made),
    ]
  } finally {
    made.db.close()
  }
}

function lost(storage: Storage, acknowledged: Acknowledged[]): string[] {
  const faultIds = new Set(acknowledged.map(({ faultId }) => faultId))
  const records = [...faultIds].flatMap(id => recordOf(storage, id) ?? [])
  const kept = new Set(records.flatMap(idsIn))
  return [
    ...acknowledged.filter(({ id }) => !kept.has(id)).map(({ kind, id }) => `lost: ${kind} ${id}`),
    ...records.flatMap(record => torn(storage, record)),
  ]
}

function recordOf(storage: Storage, faultId: string): FaultRecord | null {
  try {
    return storage.faults.get(faultId)
  } catch (error) {
    if (error instanceof AppError && error.code === 'not found') return null
    throw error
  }
}

function idsIn({ fault, attendances, findings, repairs, closure }: FaultRecord): string[] {
  return [fault, ...attendances, ...findings, ...repairs, ...(closure === null ? [] : [closure])].map(
    ({ id }) => id,
  )
}

/** What is written in one transaction is there whole or not at all. */
function torn({ units }: Storage, record: FaultRecord): string[] {
  const { fault, findings, repairs, closure, signatures, attendances } = record
  const fitted = units.historyOfPosition(fault.positionId).map(({ fittingId }) => fittingId)
  const rules: [string, boolean][] = [
    ['findings are not numbered in order', findings.every(({ seq }, index) => seq === index + 1)],
    ['a swap without its fitting', repairs.every(({ id }) => fitted.includes(id))],
    ['a closure without its signature', (closure === null) === (signatures.length === 0)],
    [
      'a closure without the end of its attendance',
      closure === null || attendances.at(-1)?.endedHow === 'closed',
    ],
  ]
  return rules.filter(([, holds]) => !holds).map(([what]) => `torn: ${what} at ${fault.id}`)
}

/** The faults left half made load, and take one more finding (which is taken back, so as to change nothing). */
function halfMade({ storage }: Made): string[] {
  return storage.faults.listOpen().flatMap(({ id: faultId }) => {
    const open = storage.faults.get(faultId).attendances.find(({ endedAt }) => endedAt === null)
    if (open === undefined) return []
    const entry = { faultId, attendanceId: open.id, by: open.personId, id: 'one more' }
    const taken = new Error()
    try {
      storage.transaction(() => {
        storage.findings.add({ ...observation, ...entry })
        throw taken
      })
    } catch (error) {
      return error === taken ? [] : [`can't be resumed: ${faultId}: ${error}`]
    }
    return []
  })
}

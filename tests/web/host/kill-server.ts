// Kills the whole program while tablets record, again and again, and looks whether any finding it had answered for is gone.

import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { openDatabase } from '../../../server/storage/engine/database.ts'
import { verifyDatabase } from '../../../server/storage/safekeeping/verify.ts'
import { IN_HAND, TABLETS } from '../../bench/web-load/depot.ts'
import { makeLarge, type Standing, standing } from '../../bench/web-load/large.ts'
import { record } from '../../bench/web-load/pages.ts'
import { serve } from '../../bench/web-load/processes.ts'
import { seeded } from '../../knowledge/generated.ts'

export interface KilledServers {
  kills: number
  /** Findings that were answered for. */
  acknowledged: number
  /** What is wrong, one line each; a lost finding is one. */
  damage: string[]
}

/** As many record at once. */
const HANDS = 20

type Reading = ReturnType<typeof record>

/** The program on one database file, killed `kills` times once it has answered for a drawn number of findings. */
export async function killServers(kills: number): Promise<KilledServers> {
  const dir = mkdtempSync(join(tmpdir(), 'fourfoot-kill-'))
  const path = join(dir, 'kill.db')
  const random = seeded(4700)
  const acknowledged: string[] = []
  const damage: string[] = []
  try {
    makeLarge(path, 0)
    const where = standing()
    const hands = Array.from({ length: HANDS }, (_, hand) => readingsOf(where, hand))
    for (let n = 0; n < kills; n++) {
      acknowledged.push(...(await recordUntilKilled(path, hands, 5 + random() * 25)))
      damage.push(...lostFrom(path, acknowledged))
    }
    const db = openDatabase(path)
    damage.push(...verifyDatabase(db).problems)
    db.close()
    return { kills, acknowledged: acknowledged.length, damage }
  } finally {
    rmSync(dir, { recursive: true })
  }
}

/** At each of its faults one, tablet after tablet; a fault whose answer never came is left as it is. */
function readingsOf(where: Standing, hand: number): Reading[] {
  const tablets = Array.from({ length: TABLETS / HANDS }, (_, n) => hand + n * HANDS)
  return tablets.flatMap(tablet => Array.from({ length: IN_HAND }, (_, n) => record(where, tablet, n)))
}

async function recordUntilKilled(path: string, hands: Reading[][], enough: number): Promise<string[]> {
  const server = await serve('serve.ts', path)
  const answered: string[] = []
  let killed: Promise<void> | null = null
  const work = async (readings: Reading[]) => {
    for (let reading = readings.shift(); reading; reading = readings.shift()) {
      const status = await send(server.address, reading).catch(() => null)
      if (status === null && killed) return
      if (status !== 303) throw new Error(`A reading was answered with ${status}.`)
      answered.push(new URLSearchParams(reading.body).get('id') ?? '')
      if (answered.length >= enough) killed ??= server.stop()
    }
  }
  await Promise.all(hands.map(work))
  if (!killed) throw new Error('The faults in hand are used up.')
  await killed
  return answered
}

async function send(address: string, { path, method, headers, body = '' }: Reading): Promise<number> {
  const type = { 'Content-Type': 'application/x-www-form-urlencoded' }
  const asked = { method, headers: { ...headers, ...type }, body, redirect: 'manual' as const }
  const answer = await fetch(address + path, asked)
  await answer.arrayBuffer()
  return answer.status
}

function lostFrom(path: string, acknowledged: string[]): string[] {
  const db = openDatabase(path)
  const there = db.prepare<[string]>('SELECT 1 FROM findings WHERE id = ?')
  const lost = acknowledged.filter(id => there.get(id) === undefined).map(id => `lost: finding ${id}`)
  const integrity = db.pragma('integrity_check', { simple: true })
  db.close()
  return integrity === 'ok' ? lost : [...lost, `integrity_check: ${integrity}`]
}

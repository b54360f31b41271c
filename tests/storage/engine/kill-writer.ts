// A process that writes as the web does until it is killed: three people, each at a fault of their own, one write after
// another, together in one commit each turn. Once a write is kept it says so on stdout, one JSON line each.
// Usage: kill-writer.ts DATABASE

import { randomUUID } from 'node:crypto'
import { writeSync } from 'node:fs'
import { openDatabase } from '../../../server/storage/engine/database.ts'
import { migrate } from '../../../server/storage/engine/migrate.ts'
import { readMigrations } from '../../../server/storage/engine/migration-files.ts'
import { createStorage } from '../../../server/storage/storage.ts'
import { attendance, fault, observation, reading, swapRepair } from '../make.ts'

export interface Acknowledged {
  kind: 'fault' | 'attendance' | 'finding' | 'repair' | 'closure'
  faultId: string
  id: string
}

const FINDINGS = 12
const people = { ada: 'p1', ben: 'p2', eve: 'p3' }

const [path = ''] = process.argv.slice(2)
const clock = () => new Date()
const db = openDatabase(path)
migrate(db, readMigrations('migrations'), clock().toISOString())
const storage = createStorage(db, clock)

const writers = Object.entries(people).map(([by, positionId]) => writing(by, positionId))
function turn(): void {
  for (const writer of writers) storage.commits.share(() => writer.next())
  setImmediate(turn)
}
turn()

/** Goes on where the person stands, write by write, for ever. */
function* writing(by: string, positionId: string): Generator<void, never> {
  for (;;) {
    const faultId = storage.faults.listOpenOf(by)[0]?.id ?? (yield* begin(by, positionId))
    const record = storage.faults.get(faultId)
    const mine = { faultId, attendanceId: record.attendances.at(-1)?.id ?? '', by }
    for (let n = record.findings.length; n < FINDINGS; n++) {
      const id = randomUUID()
      storage.findings.add({ ...(n % 2 ? observation : reading), ...mine, id, note: `number ${n}` })
      yield acknowledge({ kind: 'finding', faultId, id })
    }
    if (record.repairs.length === 0) yield* swap(mine, positionId)
    yield* close(mine)
  }
}

function* begin(by: string, positionId: string): Generator<void, string> {
  const left = storage.faults.listByPosition(positionId, 1).find(({ closedAt }) => closedAt === null)
  const faultId = left?.id ?? randomUUID()
  if (left === undefined) {
    storage.faults.create({
      ...fault,
      id: faultId,
      positionId,
      recordedBy: by,
      reportedAt: clock().toISOString(),
    })
    yield acknowledge({ kind: 'fault', faultId, id: faultId })
  }
  const id = randomUUID()
  storage.attendances.start({ ...attendance, id, faultId, personId: by })
  yield acknowledge({ kind: 'attendance', faultId, id })
  return faultId
}

function* swap(
  mine: { faultId: string; attendanceId: string; by: string },
  positionId: string,
): Generator<void, void> {
  const id = randomUUID()
  const serialOut = storage.positions.get(positionId).fitted[0]?.serial ?? `first at ${positionId}`
  const units = { ...swapRepair.swap, serialOut, serialIn: id } as typeof swapRepair.swap
  storage.repairs.add({ ...swapRepair, ...mine, id, swap: units })
  yield acknowledge({ kind: 'repair', faultId: mine.faultId, id })
}

function* close(mine: { faultId: string; attendanceId: string; by: string }): Generator<void, void> {
  const id = randomUUID()
  const signature = { id: `signature ${id}`, printedName: mine.by, meaning: 'done' }
  const closure = {
    outcome: 'proven cause' as const,
    cause: 'a/b',
    clearedItself: false,
    changed: '',
    words: '',
  }
  storage.closures.add({ ...mine, id, ...closure }, signature)
  yield acknowledge({ kind: 'closure', faultId: mine.faultId, id })
}

function acknowledge(written: Acknowledged): void {
  storage.commits.watch()(lost => {
    if (lost) throw lost.error
    say(written)
  })
}

function say(written: Acknowledged): void {
  const line = Buffer.from(`${JSON.stringify(written)}\n`)
  for (let at = 0; at < line.length; ) {
    try {
      at += writeSync(1, line, at)
    } catch (error) {
      if (!(error instanceof Error && 'code' in error && error.code === 'EAGAIN')) throw error // the pipe is full: again
    }
  }
}

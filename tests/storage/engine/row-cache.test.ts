import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, expect, it } from 'vitest'
import { createRowCache } from '../../../server/storage/engine/row-cache.ts'
import { recorderOf } from '../../../server/storage/engine/trail-recorder.ts'
import { handover, type Made, makeFault, makeStorage, mine, observation, swapRepair } from '../make.ts'

let dir: string
let made: Made
beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'fourfoot-row-cache-'))
  made = makeFault(join(dir, 'test.db'))
})
afterEach(() => {
  made.db.close()
  rmSync(dir, { recursive: true })
})
const record = () => made.storage.faults.get('fault')

it('gives the same record again without reading it, and nobody can change it', () => {
  expect(record()).toBe(record())
  expect(() => record().findings.push({} as never)).toThrow(TypeError)
})

it('reads again after each write to the fault, and only then', () => {
  const { storage } = made
  storage.faults.create({ ...record().fault, id: 'other', positionId: 'p2', conditions: [] })
  const before = record()
  storage.engineerNotes.add({ id: 'n', faultId: 'other', by: 'eve', words: 'watch it', settled: false })
  storage.positions.setFact('p1', 'cable length', '90 m')
  expect(record()).toBe(before)
  storage.findings.add(observation)
  expect(record().findings).toHaveLength(1)
  storage.handovers.add(handover)
  expect(record().handovers).toHaveLength(1)
  storage.handovers.confirm({ id: 'c', handoverId: 'ho', key: 'item:a', by: 'ben' })
  expect(record().handovers[0]?.items[0]?.confirmedAt).not.toBeNull()
})

it('reads again after what another program wrote', () => {
  expect(record().findings).toEqual([])
  const two = makeStorage(join(dir, 'test.db'))
  two.storage.findings.add(observation)
  two.db.close()
  expect(record().findings).toHaveLength(1)
})

it('reads it in the next turn at the latest, where it is looked for once a turn', async () => {
  made.storage.lookOnce()
  expect(record().findings).toEqual([])
  const two = makeStorage(join(dir, 'test.db'))
  two.storage.findings.add(observation)
  two.db.close()
  expect(record().findings).toEqual([])
  await new Promise(done => setImmediate(done))
  expect(record().findings).toHaveLength(1)
})

it('holds nothing of a write that was rolled back', () => {
  const { storage } = made
  const failing = () =>
    storage.transaction(() => {
      storage.findings.add(observation)
      expect(record().findings).toHaveLength(1)
      throw new Error('no')
    })
  expect(failing).toThrow('no')
  expect(record().findings).toEqual([])
  storage.transaction(() => {
    expect(failing).toThrow('no')
    expect(record().findings).toEqual([])
  })
  expect(record().findings).toEqual([])
})

it('reads a position again after a swap of its units and a new fact', () => {
  const { storage } = made
  expect(storage.positions.get('p1')).toBe(storage.positions.get('p1'))
  storage.positions.setFact('p1', 'cable length', '90 m')
  expect(storage.positions.get('p1').facts['cable length']).toBe('90 m')
  storage.repairs.add({ ...swapRepair, ...mine })
  expect(storage.positions.get('p1').fitted.map(unit => unit.serial)).toEqual(['T200'])
})

it('invalidates of people and sessions only those that change', () => {
  const { people, sessions } = made.storage
  for (const [tokenHash, personId] of [
    ['h1', 'ada'],
    ['h2', 'ben'],
  ] as const)
    sessions.create({ tokenHash, personId })
  const before = { ada: people.find('ada'), session: sessions.find('h1') }
  people.update('ben', { active: false })
  sessions.end('h2')
  expect(people.find('ada')).toBe(before.ada)
  expect(sessions.find('h1')).toBe(before.session)
  expect([people.find('ben')?.active, sessions.find('h2')]).toEqual([false, null])
})

it('holds no more entries than it may, and the most recently used longest', () => {
  const reads: string[] = []
  const cache = createRowCache<object>(made.db, recorderOf(made.db), {
    maxEntries: 10,
    read: id => {
      reads.push(id)
      return { id }
    },
    invalidates: () => null,
  })
  const ids = Array.from({ length: 40 }, (_, n) => `id ${n}`)
  for (const id of ids) {
    cache.get('again')
    cache.get(id)
  }
  expect(reads).toEqual(['again', ...ids])
  for (const id of ids.toReversed()) cache.get(id)
  const readTwice = reads.length - new Set(reads).size
  expect(readTwice).toBeGreaterThanOrEqual(30)
  expect(readTwice).toBeLessThan(40)
})

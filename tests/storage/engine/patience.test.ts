import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { afterEach, beforeEach, expect, it } from 'vitest'
import { openPlain, waitBriefly } from '../../../server/storage/engine/database.ts'
import { storageTrouble } from '../../../server/storage/engine/trouble.ts'
import { type Made, makeFault, observation } from '../make.ts'

let dir: string
let made: Made
beforeEach(() => {
  dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-patience-'))
  made = makeFault(path.join(dir, 'fourfoot.db'))
  waitBriefly(made.db)
})
afterEach(() => {
  made.db.close()
  rmSync(dir, { recursive: true })
})

function add(id: string): { trouble: string | null; ms: number } {
  const began = performance.now()
  try {
    made.storage.commits.share(() => made.storage.findings.add({ ...observation, id }))
    return { trouble: null, ms: performance.now() - began }
  } catch (error) {
    return { trouble: storageTrouble(error), ms: performance.now() - began }
  }
}

it('waits a quarter of a second once for another program’s lock, and then not until one write gets through', () => {
  const other = openPlain(path.join(dir, 'fourfoot.db'))
  other.exec('BEGIN IMMEDIATE')
  const first = add('first')
  const others = Array.from({ length: 50 }, (_, n) => add(`other ${n}`))
  for (const { trouble } of [first, ...others]) expect(trouble).toMatch(/held by another program/)
  expect(first.ms).toBeGreaterThan(200)
  expect(first.ms).toBeLessThan(1_000)
  // Fifty that waited as the first did would take 12.5 s.
  expect(others.reduce((sum, { ms }) => sum + ms, 0)).toBeLessThan(1_000)
  expect(made.storage.faults.get('fault').findings).toEqual([])
  other.exec('ROLLBACK')
  other.close()
  expect(add('after').trouble).toBeNull()
  expect(made.db.pragma('busy_timeout', { simple: true })).toBe(250)
  made.storage.commits.settle()
  expect(made.storage.faults.get('fault').findings).toHaveLength(1)
})

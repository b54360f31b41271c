// What tablets meet while a tool on the machine has the database locked for writing.

import { randomUUID } from 'node:crypto'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { afterEach, beforeEach, expect, it } from 'vitest'
import { openPlain, waitBriefly } from '../../../server/storage/engine/database.ts'
import { makeSite, type Site } from '../../support/site.ts'
import { attend, find, report } from '../../support/walking.ts'

let dir: string
let file: string
let site: Site
beforeEach(async () => {
  dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-held-'))
  file = path.join(dir, 'fourfoot.db')
  site = await makeSite({ database: file })
  waitBriefly(site.db)
})
afterEach(() => {
  site.db.close()
  rmSync(dir, { recursive: true })
})

it('answers each send “Not just now” and when to try again, stalls nobody, and takes it once the lock is gone', async () => {
  const wren = await site.as('wren')
  const fault = await report(wren)
  await attend(wren, fault)
  const send = () =>
    wren.agent
      .post(`/faults/${fault}/findings`)
      .type('form')
      .set('Sec-Fetch-Site', 'same-origin')
      .send({ id: randomUUID(), tree: 'dead', check: 'supply', how: 'reading', text: '110' })
  const other = openPlain(file)
  other.exec('BEGIN IMMEDIATE')
  const began = performance.now()
  const sent = await Promise.all(Array.from({ length: 20 }, send))
  const read = await wren.get('/faults')
  const took = performance.now() - began
  other.exec('ROLLBACK')
  other.close()
  for (const { status, headers, text } of sent) {
    expect([status, headers['retry-after']]).toEqual([503, '5'])
    expect(text).toContain('Not just now')
    expect(text).toContain('held by another program')
  }
  expect(read.status).toBe(200)
  expect(took).toBeLessThan(4_000) // each waited five seconds before
  expect(site.deps.storage.faults.get(fault).findings).toEqual([])
  expect((await find(wren, fault, 'supply', '110')).status).toBe(303)
  expect(site.deps.storage.faults.get(fault).findings).toHaveLength(1)
})

import { execFileSync, spawnSync } from 'node:child_process'
import { randomUUID } from 'node:crypto'
import { closeSync, ftruncateSync, mkdtempSync, openSync, rmSync, writeSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { makeSite, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'
import { attend, find, report } from '../../support/walking.ts'

// A disk that is really full: a small one in memory, which takes the rights to mount it.

const mountable = canMount()
if (!mountable) console.warn('No disk can be mounted here: what happens on a full one is NOT tried.')

const PAGE = 4096
let disk: string
let site: Site
let wren: Visitor
let fault: string
let filler: number
let filled: number

describe.skipIf(!mountable)('on a disk that is full', () => {
  beforeEach(async () => {
    disk = mkdtempSync(join(tmpdir(), 'fourfoot-full-'))
    execFileSync('mount', ['-t', 'tmpfs', '-o', 'size=16m', 'tmpfs', disk])
    site = await makeSite({ database: join(disk, 'fourfoot.db') })
    wren = await site.as('wren')
    fault = await report(wren)
    await attend(wren, fault)
    filler = openSync(join(disk, 'filler'), 'w')
    filled = fill()
  })
  afterEach(() => {
    closeSync(filler)
    site.db.close()
    execFileSync('umount', [disk])
    rmSync(disk, { recursive: true })
  })

  const findings = () => site.deps.storage.faults.get(fault).findings

  it('a reading is kept and acknowledged, or neither, however little room there is', async () => {
    const { findings: kept } = site.deps.storage
    const { add } = kept
    let written = 0
    kept.add = made => {
      const done = add(made)
      written += 1
      return done
    }
    const id = randomUUID()
    let refused = 0
    for (let room = 0; room < 100; room++) {
      ftruncateSync(filler, filled - room * PAGE)
      const answer = await find(wren, fault, 'supply', '110', { id })
      if (answer.status === 303) break
      refused += 1
      expect(answer.status).toBe(503)
      expect(answer.html).toContain('The disk of the database is full')
      expect(findings()).toEqual([])
    }
    expect(findings()).toHaveLength(1)
    expect(refused).toBeGreaterThan(0)
    // Most were refused only when all was to be committed.
    expect(written).toBeGreaterThan(1)
  })

  it('everything can still be read, also by who was away for a while', async () => {
    site.pass(5)
    wren.agent.set('X-Tablet-Clock', String(site.deps.clock().getTime() + 600_000))
    for (const address of [`/faults/${fault}`, `/faults/${fault}/checks/dead/supply`, '/faults', '/sites']) {
      const page = await wren.get(address)
      expect({ address, status: page.status }).toEqual({ address, status: 200 })
    }
  })
})

function canMount(): boolean {
  const folder = mkdtempSync(join(tmpdir(), 'fourfoot-mount-'))
  const { status } = spawnSync('mount', ['-t', 'tmpfs', '-o', 'size=1m', 'tmpfs', folder])
  if (status === 0) execFileSync('umount', [folder])
  rmSync(folder, { recursive: true })
  return status === 0
}

/** Until nothing more goes; gives how many bytes. */
function fill(): number {
  const page = Buffer.alloc(PAGE, 1)
  for (let size = 0; ; size += PAGE) {
    try {
      writeSync(filler, page)
    } catch {
      return size
    }
  }
}

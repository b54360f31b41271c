import { spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { afterEach, beforeEach, expect, it } from 'vitest'
import { hashToken } from '../../server/auth/tokens.ts'
import { rescueCodeMade } from '../../server/storage/people/setup-codes.ts'
import { makeSite, type Site } from '../support/site.ts'

let dir: string
let site: Site
const database = () => path.join(dir, 'fourfoot.db')
beforeEach(() => {
  dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-rescue-'))
})
afterEach(() => rmSync(dir, { recursive: true }))

/** As `npm run rescue` on a machine whose service is set to the folder. */
function rescue() {
  const { status, stdout, stderr } = spawnSync(process.execPath, ['server/ops/rescue.ts', '--unit='], {
    env: { ...process.env, DATA_DIR: dir },
    encoding: 'utf8',
  })
  return { status, stdout, stderr }
}

it('prints a code for /setup beside the running program, and leaves a mark in the trail', async () => {
  site = await makeSite({ database: database() })
  const { status, stdout } = rescue()
  expect(status).toBe(0)
  const code = /at \/setup with the code ((?:[a-z2-9]{4}-){6}[a-z2-9]{4})\n$/.exec(stdout)?.[1] ?? ''
  const { setupCodes, trail } = site.deps.storage
  expect(setupCodes.isRescueOpen(hashToken(code.replaceAll('-', '')))).toBe(true)
  const [entry] = trail.listHappened(rescueCodeMade, '')
  expect(entry).toMatchObject({ personId: null, tabletId: null })
  expect(JSON.stringify(entry)).not.toContain(code.slice(0, 9))
  site.db.close()
})

it('says in one line that there is no database, or nobody yet', async () => {
  const none = rescue()
  expect([none.status, none.stderr]).toEqual([1, `There is no database at ${database()}.\n`])
  site = await makeSite({ database: database(), empty: true })
  const nobody = rescue()
  expect([nobody.status, nobody.stderr.split('\n').length]).toEqual([1, 2])
  expect(nobody.stderr).toContain('There are no accounts yet')
  site.db.close()
})

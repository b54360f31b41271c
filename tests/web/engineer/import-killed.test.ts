// The program is killed while it writes an import, and started again on what that left.

import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { setTimeout as wait } from 'node:timers/promises'
import { expect, it } from 'vitest'
import { openDatabase } from '../../../server/storage/engine/database.ts'
import { verifyDatabase } from '../../../server/storage/safekeeping/verify.ts'
import { createStorage } from '../../../server/storage/storage.ts'
import { fileForm, type Send, sendFile, signedIn } from '../../bench/import-by-hand.ts'
import { pastFaultsFile } from '../../bench/past-faults-file.ts'
import { end, withProgram } from '../../bench/with-program.ts'
import { makeSite, people } from '../../support/site.ts'

const isla = (address: string) => signedIn(address, people.isla.name)

/** Brings the file in until some of it is written; gives the address of the import. */
async function untilWritten(send: Send): Promise<string> {
  const { at } = await sendFile(send, await fileForm(pastFaultsFile(4000)))
  const { location } = await send(`${at}/load`, { id: crypto.randomUUID() })
  for (;;) {
    const { html } = await send(location)
    const written = Number(/(\d+) of 4000 rows written/.exec(html)?.[1] ?? 0)
    if (written > 0) return location
    if (!html.includes('rows looked at')) throw new Error('It was over before it could be killed.')
  }
}

it.each(['SIGKILL', 'SIGTERM'] as const)(
  '%s: nothing is in force, and all of it is taken away after the next start',
  async signal => {
    const dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-import-killed-'))
    try {
      const file = path.join(dir, 'fourfoot.db')
      ;(await makeSite({ database: file })).db.close()
      const address = await withProgram(dir, async (at, child) => {
        const location = await untilWritten(await isla(at))
        await end(child, signal)
        return location
      })
      const left = openDatabase(file)
      const storage = createStorage(left, () => new Date())
      expect(left.prepare('SELECT count(*) FROM faults').pluck().get()).toBeGreaterThan(0)
      expect(storage.faults.listRecent(10)).toEqual([])
      expect(storage.imports.underWay()).toMatchObject({ added: 4000, underWay: true })
      left.close()
      await withProgram(dir, async at => {
        const send = await isla(at)
        const said = async () => (await send(address)).html
        expect(await said()).toMatch(/The program was stopped before/)
        while ((await said()).includes('comes again by itself')) await wait(100)
        expect(await said()).toContain('Nothing was brought in')
      })
      const after = openDatabase(file)
      for (const table of ['faults', 'imported_faults', 'closures', 'conditions', 'not_in_force'])
        expect([table, after.prepare(`SELECT count(*) FROM ${table}`).pluck().get()]).toEqual([table, 0])
      expect(verifyDatabase(after).problems).toEqual([])
      after.close()
    } finally {
      rmSync(dir, { recursive: true })
    }
  },
)

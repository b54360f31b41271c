// How long an engineer waits for a depot's past faults to come in, and for everything to be taken out.

import { randomUUID } from 'node:crypto'
import { copyFileSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { demoPeople } from '../../server/demo/railway/people.ts'
import { serveDemo } from '../../server/demo/serve.ts'
import { makeSite, people } from '../support/site.ts'
import { comesAgain, fileForm, sendFile, signedIn } from './import-by-hand.ts'
import { demoFile } from './pages.ts'
import { pastFaultsFile } from './past-faults-file.ts'
import type { Bench } from './run.ts'
import { runFolder } from './shared.ts'
import { withProgram } from './with-program.ts'

export const benches: Bench[] = [
  {
    // From the file sent to its 5000 faults in force, each page asked for as a browser does.
    ...{ name: 'import-5000-s', unit: 's', goal: { at: 'most', value: 5 } },
    run: async () => {
      const dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-import-'))
      try {
        ;(await makeSite({ database: path.join(dir, 'fourfoot.db') })).db.close()
        return await withProgram(dir, secondsToBringIn, { RATE_PER_MINUTE: '0' })
      } finally {
        rmSync(dir, { recursive: true })
      }
    },
  },
  {
    // The whole demo as one archive.
    ...{ name: 'export-all-s', unit: 's', goal: { at: 'most', value: 10 } },
    run: secondsToTakeOut,
  },
]

async function secondsToBringIn(address: string): Promise<number> {
  const isla = await signedIn(address, people.isla.name)
  const form = await fileForm(pastFaultsFile(5000))
  const began = performance.now()
  const { at } = await sendFile(isla, form)
  await comesAgain(isla, `${at}/check`)
  const loaded = await isla(`${at}/load`, { id: randomUUID() })
  const done = await comesAgain(isla, loaded.location)
  if (!done.html.includes('Brought in: past faults')) throw new Error('It was not brought in.')
  return (performance.now() - began) / 1000
}

async function secondsToTakeOut(): Promise<number> {
  const dir = mkdtempSync(path.join(runFolder(), 'demo-'))
  copyFileSync(await demoFile(), path.join(dir, 'demo.db'))
  const demo = await serveDemo(dir, { PORT: '0', LOG_LEVEL: 'silent', RATE_PER_MINUTE: '0' })
  try {
    const engineer = demoPeople.find(({ role }) => role === 'engineer')
    const send = await signedIn(demo.address, engineer?.name ?? '', engineer?.pin)
    const began = performance.now()
    const { status, html } = await send('/export/all.zip')
    if (status !== 200 || html.length < 100_000) throw new Error(`The archive was not given: ${status}.`)
    return (performance.now() - began) / 1000
  } finally {
    await demo.close()
    rmSync(dir, { recursive: true })
  }
}

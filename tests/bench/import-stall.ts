// How long others wait while an engineer brings in as many past faults as a file may hold: the longest answer time of a
// light page, which a technician asks for again and again on one connection, from the moment the file is sent to the moment
// its faults count. The program runs as in a depot, in a process of its own.

import { randomUUID } from 'node:crypto'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { setTimeout as wait } from 'node:timers/promises'
import { limits } from '../../server/exchange/table.ts'
import { makeSite, people } from '../support/site.ts'
import { comesAgain, type FileForm, fileForm, type Send, sendFile, signedIn } from './import-by-hand.ts'
import { pastFaultsFile } from './past-faults-file.ts'
import type { Bench } from './run.ts'
import { withProgram } from './with-program.ts'

export const benches: Bench[] = [
  {
    name: 'import-stall-ms',
    unit: 'ms, the longest answer',
    goal: { at: 'most', value: 50 },
    run: async () => {
      const dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-import-'))
      try {
        ;(await makeSite({ database: path.join(dir, 'fourfoot.db') })).db.close()
        return await withProgram(dir, longestAnswer, { RATE_PER_MINUTE: '0' })
      } finally {
        rmSync(dir, { recursive: true })
      }
    },
  },
]

async function longestAnswer(address: string): Promise<number> {
  const isla = await signedIn(address, people.isla.name)
  const wren = await signedIn(address, people.wren.name)
  const asked = askThroughout(wren)
  const form = await fileForm(pastFaultsFile(limits.rows))
  await wait(500)
  const before = asked.longest()
  asked.begin()
  const bringing = bringIn(isla, form, asked.longest).finally(asked.stop)
  const [stages] = await Promise.all([bringing, asked.ended])
  console.error(`  ${asked.answers()} answers; the longest before it ${before} ms; ${stages.join(', ')}`)
  return asked.longest()
}

/** As a browser without scripts does: each page, each form, and each page that comes again. Says what was longest when. */
async function bringIn(isla: Send, form: FileForm, longest: () => number): Promise<string[]> {
  const stages: string[] = []
  const began = performance.now()
  const passed = (stage: string) =>
    stages.push(`${stage} ${Math.round((performance.now() - began) / 100) / 10} s (${longest()} ms)`)
  const { at } = await sendFile(isla, form, () => passed('sent'))
  passed('set up')
  const tried = await comesAgain(isla, `${at}/check`)
  if (!tried.html.includes('Bring it in')) throw new Error('The try-out offers nothing to bring in.')
  passed('tried out')
  const loaded = await isla(`${at}/load`, { id: randomUUID() })
  const done = await comesAgain(isla, loaded.location)
  if (!done.html.includes('Brought in: past faults')) throw new Error('It was not brought in.')
  passed('in force')
  return stages
}

/** Asks for a light page, each time as soon as the last was answered. */
function askThroughout(send: Send) {
  let [longest, answers, asking] = [0, 0, true]
  async function ask(): Promise<void> {
    while (asking) {
      const began = performance.now()
      const { status } = await send('/calculators')
      if (status !== 200) throw new Error(`The light page was answered ${status}.`)
      longest = Math.max(longest, Math.round((performance.now() - began) * 10) / 10)
      answers += 1
    }
  }
  return {
    ended: ask(),
    longest: () => longest,
    answers: () => answers,
    begin() {
      longest = 0
    },
    stop() {
      asking = false
    },
  }
}

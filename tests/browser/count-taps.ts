// Walks a whole fault in the browser as a technician does, and counts the pages shown and the taps. A tap is a press of a
// button or link, a tile, or a field touched to type in; what is typed does not count.

import { cpSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import type { Browser } from 'playwright-core'
import { listen } from '../support/listening.ts'
import { makeSite, people } from '../support/site.ts'
import { report } from '../support/walking.ts'
import { type Hands, handsOn } from './hands.ts'

export interface Effort {
  /** From an open fault's page to the page of the recorded reading, that page not counted. */
  firstReadingPages: number
  firstReadingTaps: number
  /** From an open fault's page to the signature: six checks, a unit changed, two proofs. */
  signedPages: number
}

const slug = (title: string) => title.toLowerCase().replaceAll(' ', '-')
const measure = (title: string, next: string, more = '', cause = 'Supply fuse blown') => `## ${title}

> **Warning** S1 and S2 are live at 110 V AC.

Hold the probes on S1 and S2.

- Measure: supply voltage
- Between: S1 and S2
- Expect: supply voltage
- Takes: 3 min
${more}
| Finding   | Means    | Next |
| --------- | -------- | ---- |
| in range  | Healthy. | [${next}](#${slug(next)}) |
| otherwise | Not so.  | [${cause}](../equipment/small-transmitter.md#${slug(cause)}) |
`
const tree = `# Output dead

- Equipment: [Small transmitter](../equipment/small-transmitter.md)
- Symptom: telltale dark
- Start: [Supply](#supply)

Six checks, the third of which takes something off.

${measure('Supply', 'Second')}
${measure('Second', 'Loop resistance')}
${measure('Loop resistance', 'Fourth', '- Disturbs: wire at L1\n', 'Loop broken')}
${measure('Fourth', 'Fifth')}
${measure('Fifth', 'Telltale')}
## Telltale

Look at the telltale of the module.

- Observe: telltale
- Takes: 1 min

| Finding | Means                     | Next |
| ------- | ------------------------- | ---- |
| lit     | It works now.             | [Nothing found](#nothing-found) |
| dark    | The module does not work. | [Transmitter module failed](../equipment/small-transmitter.md#transmitter-module-failed) |

## Nothing found

- End: no fault found

Put the wire back at L1. Every check was in range.
`

export async function effortOf(browser: Browser): Promise<Effort> {
  const folder = mkdtempSync(path.join(tmpdir(), 'fourfoot-taps-'))
  const own = path.join(import.meta.dirname, '../support/knowledge')
  cpSync(own, folder, { recursive: true })
  writeFileSync(path.join(folder, 'trees/dead.md'), tree)
  const site = await makeSite({ knowledgeDir: folder })
  const server = await listen(site)
  const context = await browser.newContext({ viewport: { width: 820, height: 1180 }, hasTouch: true })
  try {
    const fault = await report(await site.as('wren'))
    const hands = handsOn(await context.newPage(), server.address)
    await hands.signIn('wren')
    return await walked(counting(hands), `${server.address}/faults/${fault}`)
  } finally {
    await context.close()
    await server.close()
    rmSync(folder, { recursive: true })
  }
}

interface Counted extends Hands {
  pages: number
  taps: number
}

/** The same hands, which count each page that comes and each tap that is made. */
function counting(hands: Hands): Counted {
  const counted: Counted = { ...hands, pages: 0, taps: 0 }
  hands.page.on('framenavigated', frame => {
    if (frame === hands.page.mainFrame()) counted.pages += 1
  })
  const counts =
    <A extends unknown[]>(act: (...given: A) => Promise<void>) =>
    (...given: A) => {
      counted.taps += 1
      return act(...given)
    }
  return Object.assign(counted, {
    tap: counts(hands.tap),
    tile: counts(hands.tile),
    fill: counts(hands.fill),
  })
}

async function walked(hands: Counted, fault: string): Promise<Effort> {
  const { tap, tile, fill, sees, reading } = hands
  await hands.page.goto(fault)
  hands.pages = 1
  await tap('Attend')
  await tile('Seen')
  await fill('Who did you speak to', 'signaller, panel 2')
  await tile('line blocked')
  await tile('nothing isolated')
  await fill('Code on the plate', 'WH-3-U')
  await tap('Start')
  await sees('Hold the probes on S1 and S2')
  await reading('110')
  const first = { firstReadingPages: hands.pages, firstReadingTaps: hands.taps + 1 }
  await tap('Record it')
  for (const _ of [2, 3, 4, 5]) {
    await sees('In range')
    await reading('110')
    await tap('Record it')
  }
  await tile('Dark')
  await tap('Record it')
  await tap('Cause: Transmitter module failed')
  await repaired(hands)
  await tap('Restored')
  await tap('Telltale')
  await tile('Lit')
  await tap('Record it')
  await tap('It is gone')
  await signed(hands)
  // The signature is given on the page before the record.
  return { ...first, signedPages: hands.pages - 1 }
}

async function repaired({ tap, tile, fill }: Counted): Promise<void> {
  await tap('Record what was done')
  await fill('Serial number out', 'T100')
  await fill('Serial number in', 'T200')
  await tile('N1')
  await fill('As found on the old unit', 'A')
  await fill('As left on the new unit', 'A')
  await fill('In words', 'module dead, another one fitted')
  await tap('Record it')
}

async function signed({ tap, tile, fill, sees }: Counted): Promise<void> {
  await tile('Proven cause')
  await fill('What was changed', 'transmitter module')
  await fill('What should the next person know', 'nothing more')
  await fill('Who was told', 'signaller, panel 2')
  await tap('Read it once more')
  await fill('Your name', people.wren.name)
  await tap('Sign and close')
  await sees('Signed: Wren Aldous')
}

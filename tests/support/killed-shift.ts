// A shift with a bad signal, in which the browser is killed again and again: what of it the depot has in the end.

import { randomUUID } from 'node:crypto'
import { makeSite } from './site.ts'
import { gone, good, type Network, tabletBrowser } from './tablet-worker.ts'
import { attend, identify, report } from './walking.ts'

export interface KilledShift {
  /** What was entered, in order. */
  entered: string[]
  /** What the depot has of it. */
  recorded: string[]
  /** What the tablet still holds to be sent. */
  unsent: number
}

const losesAnswers: Network = async (_, ask) => {
  await ask()
  throw new TypeError('Failed to fetch')
}
const networks = [good, gone, losesAnswers]

/** `random` gives numbers from 0 to 1: the moments and the network of each entry. */
export async function killedShift(kills: number, random: () => number): Promise<KilledShift> {
  const site = await makeSite({ env: { RATE_PER_MINUTE: '0' } })
  const wren = await site.as('wren')
  const fault = await report(wren)
  await attend(wren, fault)
  await identify(wren, fault)
  const tablet = await tabletBrowser(site, wren)
  await tablet.tell('carry')
  const entered: string[] = []
  const takeOff = (id: string, item: string) => tablet.post(`/faults/${fault}/disturbances`, { id, item })
  for (let kill = 0; kill < kills; kill += 1) {
    tablet.network = networks[Math.floor(random() * networks.length)] ?? good
    tablet.killAfter(Math.floor(random() * 24))
    const [id, item] = [randomUUID(), `lead ${kill}`]
    const answer = await takeOff(id, item).catch(() => null)
    await tablet.settle()
    tablet.restart()
    // A page whose form was not answered sends it again when it is opened.
    if (!answer) await takeOff(id, item)
    entered.push(item)
  }
  tablet.network = good
  await tablet.settle()
  const { unsent } = await tablet.tell('send')
  const { disturbances } = site.deps.storage.faults.get(fault)
  site.db.close()
  return { entered, recorded: disturbances.map(({ item }) => item), unsent }
}

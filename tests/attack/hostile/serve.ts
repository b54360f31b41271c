// The program in a process of its own, for what may end it. Says by message where it is and who is signed in; asked with
// any message, says the longest it was busy without a turn for anybody else. Usage: serve.ts DATA_DIR

import { listen } from '../../support/listening.ts'
import { people, token } from '../../support/site.ts'
import { makeTarget } from '../addresses.ts'
import { signIn } from './raw.ts'

export interface Target {
  address: string
  /** Cookies of a technician and an engineer. */
  wren: string
  isla: string
  fault: string
  finding: string
}

const { site, fault } = await makeTarget({ DATA_DIR: process.argv[2] ?? '' })
const { address } = await listen(site)
const tablet = `tablet=${encodeURIComponent(token)}`
const target: Target = {
  address,
  wren: await signIn(address, people.wren.name, tablet),
  isla: await signIn(address, people.isla.name, tablet),
  fault,
  finding: site.deps.storage.faults.get(fault).findings[0]?.id ?? '',
}

// In processor time, which does not grow with what else the machine is doing.
let [longest, before] = [0, spent()]
setInterval(() => {
  const now = spent()
  longest = Math.max(longest, now - before)
  before = now
}, 20)

function spent(): number {
  const { user, system } = process.cpuUsage()
  return (user + system) / 1000
}

process.on('message', () => process.send?.(longest))
process.send?.(target)

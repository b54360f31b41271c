// How long right sign-ins take while others guess: two hundred wrong ones a minute from twelve addresses, after so many
// at one moment as those may send at once. The program runs as in a depot, with its own hashes, behind a proxy.

import { once } from 'node:events'
import { mkdtempSync, rmSync } from 'node:fs'
import { request } from 'node:http'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { setTimeout as wait } from 'node:timers/promises'
import { standardCost } from '../../server/auth/scrypt.ts'
import { makeSite, people, pin, token } from '../support/site.ts'
import type { Bench } from './run.ts'
import { withProgram } from './with-program.ts'

const ADDRESSES = 12
const WRONG_A_MINUTE = 200
const AT_ONCE = 168
const SECONDS = 60
const password = 'seven wet sleepers'

interface SignIn {
  from: string
  name: string
  secret: string
  onTablet?: boolean
}

export const benches: Bench[] = [
  {
    name: 'sign-in-under-guessing-ms',
    unit: 'ms, the slowest right sign-in',
    goal: { at: 'most', value: 2000 },
    run: async () => {
      const dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-sign-in-'))
      try {
        await makeDatabase(path.join(dir, 'fourfoot.db'))
        return await withProgram(dir, slowestUnderGuessing)
      } finally {
        rmSync(dir, { recursive: true })
      }
    },
  },
]

async function makeDatabase(database: string): Promise<void> {
  const site = await makeSite({ database, hashCost: standardCost })
  const passwordHash = await site.deps.secrets.hash(password)
  site.deps.storage.people.update('wren', { passwordHash })
  site.db.close()
}

async function slowestUnderGuessing(address: string): Promise<number> {
  const wrong: Promise<number>[] = Array.from({ length: AT_ONCE }, (_, n) => signIn(address, guess(n)))
  const slowest = { onTablet: 0, elsewhere: 0 }
  const end = Date.now() + SECONDS * 1000
  for (let n = 0; Date.now() < end; n++) {
    wrong.push(signIn(address, guess(n)))
    // Every third guess comes with a right sign-in on the tablet and one from an address of its own.
    if (n % 3 === 0) {
      slowest.onTablet = Math.max(slowest.onTablet, await timed(address, right('127.0.0.1', true)))
      const from = `198.51.100.${n % 250}`
      slowest.elsewhere = Math.max(slowest.elsewhere, await timed(address, right(from, false)))
    }
    await wait(60_000 / WRONG_A_MINUTE)
  }
  const letIn = (await Promise.all(wrong)).filter(status => status === 303).length
  if (letIn > 0) throw new Error(`${letIn} wrong guesses were let in.`)
  console.error(`  on the tablet ${slowest.onTablet} ms, elsewhere ${slowest.elsewhere} ms at most`)
  return Math.max(slowest.onTablet, slowest.elsewhere)
}

/** At the same name and at others in turn, so that no address runs into its slow-down at once. */
function guess(n: number): SignIn {
  const names = Object.values(people).map(({ name }) => name)
  const name = names[Math.floor(n / ADDRESSES) % names.length] ?? ''
  return { from: `203.0.113.${n % ADDRESSES}`, name, secret: `wrong guess ${n}` }
}

function right(from: string, onTablet: boolean): SignIn {
  return { from, name: people.wren.name, secret: onTablet ? pin : password, onTablet }
}

/** Milliseconds until a right sign-in is answered. Throws when it is not let in. */
async function timed(address: string, wanted: SignIn): Promise<number> {
  const begun = performance.now()
  const status = await signIn(address, wanted)
  if (status !== 303) throw new Error(`A right sign-in from ${wanted.from} was answered ${status}.`)
  return Math.round(performance.now() - begun)
}

async function signIn(address: string, { from, name, secret, onTablet = false }: SignIn): Promise<number> {
  const headers = {
    'Content-Type': 'application/x-www-form-urlencoded',
    'Sec-Fetch-Site': 'same-origin',
    'X-Forwarded-For': from,
    ...(onTablet && { Cookie: `tablet=${encodeURIComponent(token)}` }),
  }
  const sent = request(`${address}/sign-in`, { method: 'POST', headers, agent: false })
  sent.end(new URLSearchParams({ name, pin: secret }).toString())
  const [response] = await once(sent, 'response')
  response.resume()
  return response.statusCode
}

import { type ChildProcess, fork } from 'node:child_process'
import { once } from 'node:events'
import { connect } from 'node:net'
import path from 'node:path'
import { afterEach, describe, expect, it } from 'vitest'
import { patience } from '../../server/ops/uncaught.ts'
import { textOf } from '../repo/files.ts'

let child: ChildProcess
let log = ''
afterEach(() => void child.kill('SIGKILL'))

async function program(): Promise<string> {
  log = ''
  child = fork(path.join(import.meta.dirname, 'uncaught-program.ts'), { execArgv: [], silent: true })
  child.stdout?.on('data', text => {
    log += text
  })
  const [address] = await once(child, 'message')
  return String(address)
}

const healthy = async (address: string) => (await fetch(`${address}/healthz`)).status
/** A form whose rest never comes. */
async function hanging(address: string) {
  const { hostname, port } = new URL(address)
  const socket = connect(Number(port), hostname)
  socket.write('POST /sign-in HTTP/1.1\r\nHost: x\r\nSec-Fetch-Site: none\r\n')
  socket.write('Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 1000\r\n\r\nname=')
  let text = ''
  socket.on('data', data => {
    text += data
  })
  await healthy(address)
  return { text: () => text, closed: once(socket, 'close') }
}

describe('an error that nothing caught', () => {
  it.each(['callback', 'promise', 'shared'])('from a %s is logged, and the program goes on', async where => {
    const address = await program()
    child.send(where)
    await expect.poll(() => log).toContain('the program goes on')
    expect(await healthy(address)).toBe(200)
  })

  it('ends the request that is never answered, with a number to ask by', async () => {
    const address = await program()
    const { text, closed } = await hanging(address)
    child.send('callback')
    await closed
    expect(text()).toMatch(/^HTTP\/1\.1 500[\s\S]*Number: [0-9a-f-]{36}/)
    expect(await healthy(address)).toBe(200)
  })

  it.each([
    ['of the database', ['disk'], 'The database is damaged'],
    ['that comes again and again', Array(patience.most + 1).fill('callback'), 'too many errors'],
  ])('%s ends the program, which says why', async (_, errors, why) => {
    await program()
    const ended = once(child, 'exit')
    for (const error of errors) child.send(error)
    expect(await ended).toEqual([70, null])
    expect(log).toContain(why)
    expect(log).toContain('to be started again')
  })
})

it('a program that ends itself is started again, however often it does', () => {
  const unit = textOf('server/ops/fourfoot.service')
  const [interval, burst] = ['StartLimitIntervalSec', 'StartLimitBurst'].map(name =>
    Number(new RegExp(`^${name}=(\\d+)$`, 'm').exec(unit)?.[1]),
  ) as [number, number]
  // Starts lie further apart than would make one more than `burst` of them in `interval`: systemd.unit(5) (from memory).
  expect((patience.leastUptimeMs / 1000) * burst).toBeGreaterThan(interval)
  expect(unit).toMatch(/^Restart=on-failure$/m)
})

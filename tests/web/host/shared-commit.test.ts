import { randomUUID } from 'node:crypto'
import { once } from 'node:events'
import { createServer, type Server } from 'node:http'
import { type AddressInfo, connect } from 'node:net'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { createSession } from '../../../server/auth/sessions.ts'
import { breakingCommits } from '../../support/breaking-commits.ts'
import { makeSite, type Site } from '../../support/site.ts'
import { attend, report } from '../../support/walking.ts'

// Requests that arrive in one piece are handled in one turn of the event loop: what they record shares a commit.

let site: Site
let server: Server
let up: string
let down: string
beforeEach(async () => {
  site = await makeSite()
  const wren = await site.as('wren')
  const moss = await site.as('moss')
  up = await report(wren)
  await attend(wren, up)
  down = await report(moss, { position: 'down' })
  await attend(moss, down)
  server = createServer(site.app).listen(0, '127.0.0.1')
  await once(server, 'listening')
})
afterEach(() => server.close())

interface Answer {
  status: number
  head: string
  body: string
}

const asked = (person: string, method: string, path: string, body = '') =>
  [
    `${method} ${path} HTTP/1.1`,
    'Host: depot',
    'Sec-Fetch-Site: same-origin',
    `Cookie: fourfoot=${createSession(site.deps, person)}`,
    'Content-Type: application/x-www-form-urlencoded',
    `Content-Length: ${Buffer.byteLength(body)}`,
    '',
    body,
  ].join('\r\n')

const look = (person: string, path: string) => asked(person, 'GET', path)

function found(person: string, fault: string, fields: Record<string, string> = {}): string {
  const form = { id: randomUUID(), tree: 'dead', check: 'supply', how: 'reading', text: '110', ...fields }
  return asked(person, 'POST', `/faults/${fault}/findings`, new URLSearchParams(form).toString())
}

/** Sends all in one piece; gives the answers in order. */
async function together(...requests: string[]): Promise<Answer[]> {
  const socket = connect((server.address() as AddressInfo).port, '127.0.0.1')
  socket.end(requests.join(''))
  let said = ''
  for await (const part of socket) said += part.toString()
  return said.split(/(?=HTTP\/1\.1 \d{3} )/).map(answer => ({
    status: Number(answer.slice(9, 12)),
    head: answer.slice(0, answer.indexOf('\r\n\r\n')),
    body: answer.slice(answer.indexOf('\r\n\r\n')),
  }))
}

const findings = (fault: string) => site.deps.storage.faults.get(fault).findings
const statuses = (answers: Answer[]) => answers.map(({ status }) => status)

describe('readings sent in one turn', () => {
  it('are each kept and answered', async () => {
    expect(statuses(await together(found('wren', up), found('moss', down)))).toEqual([303, 303])
    expect([findings(up).length, findings(down).length]).toEqual([1, 1])
  })

  it('are refused each by itself', async () => {
    const answers = await together(found('moss', up), found('moss', down), found('wren', down))
    expect(statuses(answers)).toEqual([409, 303, 409])
    expect([findings(up).length, findings(down).length]).toEqual([0, 1])
  })

  it('are written once when sent twice', async () => {
    const same = found('wren', up)
    expect(statuses(await together(same, same))).toEqual([303, 303])
    expect(findings(up)).toHaveLength(1)
  })
})

describe('when their commit fails', () => {
  beforeEach(() => breakingCommits(site.db))

  it('none is acknowledged, nothing of them is shown, and each can be sent again', async () => {
    const wrens = found('wren', up)
    const answers = await together(
      wrens,
      found('moss', down, { note: 'breaks' }),
      look('moss', `/faults/${up}`),
      look('moss', '/faults'),
    )
    expect(statuses(answers)).toEqual([500, 500, 500, 500])
    for (const { head, body } of answers) {
      expect(head).not.toMatch(/^(location|set-cookie):/im)
      expect(body).toContain('Something went wrong here')
      expect(body).not.toMatch(/\b110\b/) // as a word: ids may hold the digits
    }
    expect([findings(up), findings(down)]).toEqual([[], []])
    expect(statuses(await together(wrens, look('wren', `/faults/${up}`)))).toEqual([303, 200])
    expect(findings(up)).toHaveLength(1)
  })
})

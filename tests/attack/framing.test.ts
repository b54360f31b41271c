import { once } from 'node:events'
import { type AddressInfo, connect } from 'node:net'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { createHttpServer } from '../../server/web/host/middleware/http-server.ts'
import { makeSite } from '../support/site.ts'

// Where one request ends and the next begins is never in doubt: what a proxy and the program could read differently is
// refused. RFC 9112, sections 5.1, 6.1 and 6.3 (value from memory).

let server: ReturnType<typeof createHttpServer>
beforeAll(async () => {
  server = createHttpServer((await makeSite()).app)
  await once(server.listen(0, '127.0.0.1'), 'listening')
})
afterAll(() => {
  server.closeAllConnections()
  server.close()
})

/** The status of each answer to what is written on one connection, which is closed from our side only after them. */
async function statuses(head: string[], body = ''): Promise<number[]> {
  const socket = connect((server.address() as AddressInfo).port, '127.0.0.1')
  let text = ''
  socket.on('data', data => {
    text += data
  })
  socket.on('error', () => {})
  socket.write(`${[...head, 'Host: depot.example'].join('\r\n')}\r\n\r\n${body}`)
  socket.write('GET /healthz HTTP/1.1\r\nHost: depot.example\r\nConnection: close\r\n\r\n')
  await once(socket, 'close')
  return [...text.matchAll(/^HTTP\/1\.1 (\d{3})/gm)].map(([, status]) => Number(status))
}

const form = 'POST /sign-in HTTP/1.1'

describe('a request', () => {
  it('that is whole is answered, and so is the one behind it', async () => {
    expect(await statuses([form, 'Content-Length: 4'], 'a=bc')).toEqual([400, 200])
    expect(await statuses([form, 'Transfer-Encoding: chunked'], '4\r\na=bc\r\n0\r\n\r\n')).toEqual([400, 200])
  })

  const chunked = '0\r\n\r\n'
  it.each([
    ['two ways to tell its length', ['Content-Length: 4', 'Transfer-Encoding: chunked'], chunked],
    ['two lengths', ['Content-Length: 4', 'Content-Length: 5'], 'abcde'],
    ['a length that is no number', ['Content-Length: +4'], 'abcd'],
    ['a blank before the colon', ['Transfer-Encoding : chunked'], chunked],
    ['a line that ends too early', ['X-One: a\nTransfer-Encoding: chunked'], chunked],
    ['chunks of a length that is none', ['Transfer-Encoding: chunked'], '0x4\r\na=bc\r\n0\r\n\r\n'],
  ])('with %s is refused, and nothing behind it is read', async (_, head, body) => {
    const [first, ...behind] = await statuses([form, ...head], body)
    expect([first, behind]).toEqual([400, []])
  })
})

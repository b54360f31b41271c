// Requests as bytes on a connection, which no client library would send.

import { once } from 'node:events'
import { connect } from 'node:net'
import { pin } from '../../support/site.ts'

export interface Answer {
  /** Of the first answer; null when the connection was closed without one. */
  status: number | null
  text: string
  /** The connection was still open after the longest time to wait. */
  hung: boolean
}

export interface Sent {
  /** Written one after another, each in a turn of its own. */
  parts: (string | Buffer)[]
  /** `end`: nothing more comes from our side; `cut`: the connection is torn down; `wait`: it stays open for the answer. */
  afterwards?: 'end' | 'cut' | 'wait'
}

/** Writes to the server at `address`, and gives what came back when the connection was closed from either side. */
export async function send(
  address: string,
  { parts, afterwards = 'wait' }: Sent,
  most = 10_000,
): Promise<Answer> {
  const { hostname, port } = new URL(address)
  const socket = connect(Number(port), hostname)
  let text = ''
  socket.on('data', data => {
    text += data.toString('latin1')
  })
  // A server that has not read everything resets the connection after its answer.
  socket.on('error', () => {})
  const closed = once(socket, 'close')
  let hung = false
  const timer = setTimeout(() => {
    hung = true
    socket.destroy()
  }, most)
  for (const part of parts) {
    socket.write(part)
    await new Promise(done => setTimeout(done, 2))
  }
  if (afterwards === 'end') socket.end()
  if (afterwards === 'cut') socket.resetAndDestroy()
  await closed
  clearTimeout(timer)
  return { status: Number(/^HTTP\/1\.1 (\d{3})/.exec(text)?.[1] ?? Number.NaN) || null, text, hung }
}

/** The head of a request that is answered once and then closed. */
export function head(method: string, path: string, headers: Record<string, string | number> = {}): string {
  const all = { Host: 'depot.example', Connection: 'close', 'Sec-Fetch-Site': 'same-origin', ...headers }
  const lines = Object.entries(all).map(([name, value]) => `${name}: ${value}`)
  return `${[`${method} ${path} HTTP/1.1`, ...lines].join('\r\n')}\r\n\r\n`
}

export const boundary = 'xXhostileXx'

/** A part of a form: a field, or a file where it has a file name. */
export function part(name: string, content: string | Buffer, fileName?: string): Buffer {
  const file =
    fileName === undefined ? '' : `; filename="${fileName}"\r\nContent-Type: application/octet-stream`
  const before = `--${boundary}\r\nContent-Disposition: form-data; name="${name}"${file}\r\n\r\n`
  return Buffer.concat([Buffer.from(before), Buffer.from(content), Buffer.from('\r\n')])
}

export const formEnd = Buffer.from(`--${boundary}--\r\n`)

/** The cookies of somebody signed in on the depot's tablet. */
export async function signIn(address: string, name: string, tablet: string): Promise<string> {
  const answer = await fetch(`${address}/sign-in`, {
    method: 'POST',
    redirect: 'manual',
    headers: { Cookie: tablet, Origin: address },
    body: new URLSearchParams({ name, pin }),
  })
  // One may be taken away and then set anew: the last holds.
  const cookies = new Map(answer.headers.getSetCookie().map(one => one.split(/[=;]/) as [string, string]))
  return [...cookies].map(([cookie, value]) => `${cookie}=${value}`).join('; ')
}

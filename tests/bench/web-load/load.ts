// Tablets, in a process of their own: each a connection that stays open and asks one thing after another. Reads a Load as
// JSON on stdin, prints a Measured as JSON.

import { connect, type Socket } from 'node:net'
import { text } from 'node:stream/consumers'

export interface Asked {
  method: 'GET' | 'POST'
  path: string
  headers: Record<string, string>
  body?: string
}

export interface Load {
  address: string
  /** One list a tablet, asked in turn; with `once` a tablet stops at its end, else it begins again. */
  tablets: Asked[][]
  once: boolean
  seconds: number
  /** Requests a second of all tablets together, evenly spread; 0 for as fast as they are answered. */
  rate: number
}

export interface Measured {
  requests: number
  seconds: number
  perSecond: number
  /** Milliseconds from when it was due to be asked until it was answered whole. */
  p50: number
  p99: number
  longest: number
  /** How many answers had each status. */
  statuses: Record<string, number>
  bytes: number
}

if (process.argv[1] === import.meta.filename)
  console.log(JSON.stringify(await drive(JSON.parse(await text(process.stdin)) as Load)))

async function drive({ address, tablets, once, seconds, rate }: Load): Promise<Measured> {
  const { hostname, port } = new URL(address)
  const times: number[] = []
  const statuses: Record<string, number> = {}
  let bytes = 0
  const began = performance.now()
  const until = began + seconds * 1000
  const gap = rate === 0 ? 0 : (tablets.length * 1000) / rate

  async function tablet(asks: Asked[], number: number): Promise<void> {
    const socket = connect(Number(port), hostname)
    socket.setNoDelay(true)
    const requests = asks.map(ask => requestOf(ask, `${hostname}:${port}`))
    let due = began + (gap * number) / tablets.length
    for (let n = 0; performance.now() < until && !(once && n >= requests.length); n++) {
      if (gap > 0) await new Promise(resolve => setTimeout(resolve, Math.max(0, due - performance.now())))
      const asked = gap > 0 ? due : performance.now()
      if (asked > until) break
      const answer = await ask(socket, requests[n % requests.length] ?? '')
      times.push(performance.now() - asked)
      statuses[answer.status] = (statuses[answer.status] ?? 0) + 1
      bytes += answer.bytes
      due += gap
    }
    socket.destroy()
  }

  await Promise.all(tablets.map(tablet))
  const spent = (performance.now() - began) / 1000
  times.sort((a, b) => a - b)
  const at = (share: number) => times[Math.min(times.length - 1, Math.floor(times.length * share))] ?? 0
  const requests = times.length
  return {
    ...{ requests, seconds: spent, perSecond: requests / spent, p50: at(0.5), p99: at(0.99), longest: at(1) },
    ...{ statuses, bytes },
  }
}

function requestOf({ method, path, headers, body = '' }: Asked, host: string): string {
  const all: Record<string, string> = { Host: host, ...headers }
  if (method === 'POST') {
    all['Content-Type'] = 'application/x-www-form-urlencoded'
    all['Content-Length'] = String(Buffer.byteLength(body))
  }
  const lines = Object.entries(all).map(([name, value]) => `${name}: ${value}`)
  return `${method} ${path} HTTP/1.1\r\n${lines.join('\r\n')}\r\n\r\n${body}`
}

function ask(socket: Socket, request: string): Promise<{ status: string; bytes: number }> {
  return new Promise((resolve, reject) => {
    const parts: Buffer[] = []
    let length = 0
    let wanted: number | null = null
    let tail = ''
    const done = (error: Error | null) => {
      socket.off('data', data)
      socket.off('error', failed)
      socket.off('close', closed)
      if (error) reject(error)
      else resolve({ status: parts[0]?.toString('latin1', 9, 12) ?? '', bytes: length })
    }
    const failed = (error: Error) => done(error)
    const closed = () => done(new Error('the connection was closed'))
    const data = (chunk: Buffer) => {
      parts.push(chunk)
      length += chunk.length
      wanted ??= wholeLength(parts)
      tail = (tail + chunk.toString('latin1', Math.max(0, chunk.length - 5))).slice(-5)
      const ended = wanted === -1 ? tail === '0\r\n\r\n' : length === wanted
      if (wanted !== null && ended) done(null)
    }
    socket.on('data', data)
    socket.on('error', failed)
    socket.on('close', closed)
    socket.write(request)
  })
}

/** Bytes of the whole answer; -1 when it comes in chunks, null while its head is not whole. */
function wholeLength(parts: Buffer[]): number | null {
  const head = Buffer.concat(parts)
  const end = head.indexOf('\r\n\r\n')
  if (end < 0) return null
  const said = /\r\ncontent-length: (\d+)/i.exec(head.toString('latin1', 0, end))
  return said ? end + 4 + Number(said[1]) : -1
}

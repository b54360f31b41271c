import { createServer, get, type IncomingMessage, type Server } from 'node:http'
import type { AddressInfo } from 'node:net'
import { buffer } from 'node:stream/consumers'
import { brotliDecompressSync, gunzipSync } from 'node:zlib'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { makeSite } from '../../support/site.ts'

// Held against Node's own unpacking; which packings an answer may have is in RFC 9110, section 12.5.3 (value from memory).

let server: Server
beforeAll(async () => {
  server = createServer((await makeSite()).app)
  await new Promise<void>(resolve => server.listen(0, '127.0.0.1', resolve))
})
afterAll(() => server.close())

async function ask(accepts: string | undefined, method = 'GET', path = '/look') {
  const { port } = server.address() as AddressInfo
  const headers = accepts === undefined ? {} : { 'Accept-Encoding': accepts }
  const answer = await new Promise<IncomingMessage>((resolve, reject) => {
    get({ host: '127.0.0.1', port, path, method, headers, agent: false }, resolve).on('error', reject)
  })
  return { headers: answer.headers, bytes: await buffer(answer) }
}

describe('a page', () => {
  it.each([
    ['gzip, deflate, br, zstd', 'br', brotliDecompressSync],
    ['gzip, deflate', 'gzip', gunzipSync],
    ['gzip;q=0.5, br;q=0', 'gzip', gunzipSync],
    ['*', 'br', brotliDecompressSync],
    ['deflate', undefined, (bytes: Buffer) => bytes],
    ['br;q=0, gzip;q=0', undefined, (bytes: Buffer) => bytes],
    [undefined, undefined, (bytes: Buffer) => bytes],
  ])('is packed for a browser that takes %s', async (accepts, packing, unpack) => {
    const { headers, bytes } = await ask(accepts)
    expect(headers['content-encoding']).toBe(packing)
    expect(headers['content-length']).toBe(String(bytes.length))
    expect(headers.vary).toBe('Accept-Encoding')
    const html = unpack(bytes).toString()
    expect(html).toContain('<h1>How these pages are drawn</h1>')
    expect(html).toMatch(/<\/html>\s*$/)
    if (packing) expect(bytes.length).toBeLessThan(html.length / 3)
  })

  it('has no body where only its head is asked for', async () => {
    const { headers, bytes } = await ask('gzip', 'HEAD')
    expect(headers['content-type']).toBe('text/html; charset=utf-8')
    expect(bytes).toHaveLength(0)
  })

  it('is packed as well when it says that something went wrong', async () => {
    const { headers, bytes } = await ask('br', 'GET', '/nowhere')
    expect(headers['content-encoding']).toBe('br')
    expect(brotliDecompressSync(bytes).toString()).toContain('There is nothing at this address')
  })
})

describe('a sheet', () => {
  it('is packed as small as the browser takes it, in whatever order it names the packings', async () => {
    const packedAs = async (accepts?: string) =>
      (await ask(accepts, 'GET', '/assets/app.css')).headers['content-encoding']
    expect(await packedAs('gzip, deflate, br')).toBe('br')
    expect(await packedAs('gzip')).toBe('gzip')
    expect(await packedAs()).toBeUndefined()
  })
})

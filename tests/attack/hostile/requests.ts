// Requests that no browser sends, as bytes.

import { boundary, formEnd, head, part, type Sent } from './raw.ts'
import type { Target } from './serve.ts'

const form = { 'Content-Type': 'application/x-www-form-urlencoded' }
const multipart = { 'Content-Type': `multipart/form-data; boundary=${boundary}` }

/** A form with its fields as they stand. */
function posted(
  path: string,
  cookie: string,
  body: string | Buffer,
  headers: Record<string, string | number> = form,
): Sent {
  return {
    parts: [
      head('POST', path, { Cookie: cookie, 'Content-Length': Buffer.byteLength(body), ...headers }),
      body,
    ],
  }
}

/** Heads and bodies that are not HTTP, or hardly; by name. */
export function hostileHttp({ wren }: Target): [string, Sent][] {
  const get = (path: string, headers: Record<string, string> = {}): Sent => ({
    parts: [head('GET', path, { Cookie: wren, ...headers })],
    afterwards: 'end',
  })
  const bytes = (...parts: (string | Buffer)[]): Sent => ({ parts, afterwards: 'end' })
  return [
    ['no HTTP', bytes('hello\r\n\r\n')],
    ['TLS', bytes(Buffer.from('16030100c8010000c40303', 'hex'), Buffer.alloc(200, 7))],
    ['zeros', bytes(Buffer.alloc(5000))],
    ['a method of its own', bytes('BREW / HTTP/1.1\r\nHost: x\r\n\r\n')],
    ['a version of its own', bytes('GET / HTTP/9.9\r\nHost: x\r\n\r\n')],
    ['no host', bytes('GET / HTTP/1.1\r\n\r\n')],
    ['two hosts', bytes('GET / HTTP/1.1\r\nHost: x\r\nHost: y\r\n\r\n')],
    ['CONNECT', bytes('CONNECT x:1 HTTP/1.1\r\nHost: x\r\n\r\n')],
    ['an upgrade', get('/faults', { Connection: 'Upgrade', Upgrade: 'websocket' })],
    ['HTTP/2 at once', bytes('PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n')],
    ['a body with GET', bytes(head('GET', '/faults', { Cookie: wren, 'Content-Length': 5 }), 'aaaaa')],
    [
      'an expectation',
      bytes(head('POST', '/faults', { Cookie: wren, Expect: '200-maybe', 'Content-Length': 1 }), 'a'),
    ],
    [
      'a thousand headers',
      get('/', Object.fromEntries(Array.from({ length: 1000 }, (_, n) => [`X-${n}`, 'x']))),
    ],
    ['a header of 15 kB', get('/', { 'X-Long': 'x'.repeat(15_000) })],
    ['a header of 40 kB', get('/', { 'X-Long': 'x'.repeat(40_000) })],
    [
      'cookies that are none',
      get('/faults', { Cookie: '=; ;;; fourfoot=%E0%A4%A; __proto__=x; tablet=%00' }),
    ],
    [
      'hundreds of cookies',
      get('/faults', { Cookie: Array.from({ length: 800 }, (_, n) => `c${n}=x`).join('; ') }),
    ],
    [
      'a language of 10 kB',
      get('/faults', { 'Accept-Language': 'a,'.repeat(5000), Accept: '*/*;q='.repeat(500) }),
    ],
    ['packings of 10 kB', get('/export', { 'Accept-Encoding': 'gzip;q=0.1,'.repeat(900) })],
    ['ranges without end', get('/assets/css/main.css', { Range: `bytes=${'0-0,'.repeat(3000)}` })],
    ['a date that is none', get('/faults', { 'If-Modified-Since': 'x'.repeat(9000) })],
    ...[
      '//',
      '/%',
      '/%00',
      '/%ff%fe',
      '/faults/%2e%2e%2f',
      `/${'a/'.repeat(5000)}`,
      '/faults?'.padEnd(12_000, 'a=b&'),
      '/faults/__proto__',
      '/review?from=0026-01-01&to=9999-99-99',
      '/review?page=1e999',
      '/export/%00.csv',
      '/photos/..%2f..',
      '/import/files/x',
    ].map((path): [string, Sent] => [`the address ${path.slice(0, 30)}`, get(path)]),
    [
      'chunks of no length',
      bytes(head('POST', '/sign-in', { ...form, 'Transfer-Encoding': 'chunked' }), '-1\r\na\r\n'),
    ],
    [
      'a chunk as large as a number',
      bytes(
        head('POST', '/sign-in', { ...form, 'Transfer-Encoding': 'chunked' }),
        'ffffffffffffffff\r\na\r\n',
      ),
    ],
    [
      'a length and chunks',
      bytes(
        head('POST', '/sign-in', { ...form, 'Content-Length': 5, 'Transfer-Encoding': 'chunked' }),
        '0\r\n\r\n',
      ),
    ],
    [
      'a body cut off',
      { parts: [head('POST', '/sign-in', { ...form, 'Content-Length': 900 }), 'name='], afterwards: 'cut' },
    ],
    [
      'a body that ends early',
      { parts: [head('POST', '/sign-in', { ...form, 'Content-Length': 900 }), 'name='], afterwards: 'end' },
    ],
    ['a hundred requests on one connection', bytes('GET /sign-in HTTP/1.1\r\nHost: x\r\n\r\n'.repeat(100))],
  ]
}

/** Forms whose fields hold what nobody types; by name. */
export function hostileForms({ wren, fault }: Target): [string, Sent][] {
  const values: [string, string][] = [
    ['nothing', ''],
    ['one sign', '%'],
    ['broken escapes', 'name=%E0%A4%A&pin=%00%ff'],
    ['names of an object', '__proto__=x&constructor=y&toString=z&__proto__[a]=b'],
    ['fields twice', 'id=1&id=2&check=a&check=b&typed=1&typed=2'],
    ['deep names', `a${'[b]'.repeat(2000)}=c`],
    ['a thousand fields', Array.from({ length: 1000 }, (_, n) => `f${n}=x`).join('&')],
    ['90 kB in a field', `noticed=${'x'.repeat(90_000)}`],
    ['200 kB in a field', `noticed=${'x'.repeat(200_000)}`],
    ['90 kB of plus signs', '+'.repeat(90_000)],
    ['90 kB of ampersands', '&'.repeat(90_000)],
    ['90 kB of spaces in a reading', `tree=dead&check=supply&typed=${'+'.repeat(90_000)}1`],
    ['90 kB of figures', `tree=dead&check=supply&typed=${'9'.repeat(90_000)}`],
    ['marks and directions', `noticed=${encodeURIComponent('\u202e\u0301'.repeat(3000))}`],
    ['lone surrogates', `noticed=${'%ED%A0%80'.repeat(3000)}`],
    ['control characters', `noticed=${'%00%01%1b'.repeat(5000)}`],
  ]
  const places = ['/sign-in', '/faults', `/faults/${fault}/findings`, `/faults/${fault}/departures`]
  const sent = places.flatMap(path =>
    values.map(([name, body]): [string, Sent] => [`${name}, to ${path}`, posted(path, wren, body)]),
  )
  const types: [string, Sent][] = [
    ['JSON', posted('/faults', wren, '{"id":{"$gt":""}}', { 'Content-Type': 'application/json' })],
    [
      'a letter code of its own',
      posted('/faults', wren, 'a=b', { 'Content-Type': `${form['Content-Type']}; charset=x-none` }),
    ],
    ['packed, but not', posted('/faults', wren, 'a=b', { ...form, 'Content-Encoding': 'gzip' })],
    [
      'packed with something else',
      posted('/faults', wren, 'a=b', { ...form, 'Content-Encoding': 'zstd, br' }),
    ],
    ['from elsewhere', posted('/faults', wren, 'a=b', { ...form, 'Sec-Fetch-Site': 'cross-site' })],
  ]
  return [...sent, ...types]
}

/** A file sent to where it belongs. */
export function sentFile(target: Target, to: 'photos' | 'import', content: Buffer): Sent {
  const fields =
    to === 'photos'
      ? [part('id', crypto.randomUUID()), part('finding', target.finding), part('photo', content, 'a.jpg')]
      : [part('subject', 'past faults'), part('file', content, 'a.csv')]
  return sentParts(target, to, Buffer.concat([...fields, formEnd]))
}

/** Whatever stands in for a form with a file. */
export function sentParts(target: Target, to: 'photos' | 'import', body: Buffer, headers = {}): Sent {
  const photos = to === 'photos'
  const path = photos ? `/faults/${target.fault}/photos` : '/import'
  return posted(path, photos ? target.wren : target.isla, body, { ...multipart, ...headers })
}

import { randomUUID } from 'node:crypto'
import { mkdtempSync, readdirSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { listen } from '../../support/listening.ts'
import { jpeg } from '../../support/pictures.ts'
import { people, type Site, token } from '../../support/site.ts'
import { makeTarget } from '../addresses.ts'
import { boundary, formEnd, head, part, type Sent, send, signIn } from './raw.ts'

// A form with a file, cut off and spoilt in every way, by a technician and by an engineer, over a real connection. An error
// that nothing catches would fail the run.

const dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-uploads-'))
let site: Site
let server: Awaited<ReturnType<typeof listen>>
let forms: Record<'photos' | 'import', { path: string; cookie: string; fields: Buffer; file: string }>

beforeAll(async () => {
  const target = await makeTarget({ DATA_DIR: dir })
  site = target.site
  server = await listen(site)
  const tablet = `tablet=${encodeURIComponent(token)}`
  const finding = site.deps.storage.faults.get(target.fault).findings[0]?.id ?? ''
  forms = {
    photos: {
      path: `/faults/${target.fault}/photos`,
      cookie: await signIn(server.address, people.wren.name, tablet),
      fields: Buffer.concat([part('id', randomUUID()), part('finding', finding)]),
      file: 'photo',
    },
    import: {
      path: '/import',
      cookie: await signIn(server.address, people.isla.name, tablet),
      fields: part('subject', 'sites'),
      file: 'file',
    },
  }
})
afterAll(async () => {
  await server.close()
  rmSync(dir, { recursive: true })
})

const content = { photos: jpeg, import: Buffer.from('name\nNewhalt\n') }
const kept = () => [
  site.deps.storage.imports.list(50).length,
  site.db.prepare('SELECT count(*) AS n FROM photos').get(),
  readdirSync(dir, { recursive: true }).filter(name => String(name).includes('photo')),
]

describe.each(['photos', 'import'] as const)('a form with a file, sent to %s', which => {
  const request = (
    body: Buffer[],
    more: Partial<Sent> = {},
    headers: Record<string, string | number> = {},
  ) => {
    const { path: at, cookie } = forms[which]
    const length = body.reduce((sum, one) => sum + one.length, 0)
    const type = `multipart/form-data; boundary=${boundary}`
    const all = { Cookie: cookie, 'Content-Type': type, 'Content-Length': length, ...headers }
    return send(server.address, { parts: [head('POST', at, all), ...body], ...more })
  }
  const whole = () => {
    const { fields, file } = forms[which]
    return Buffer.concat([fields, part(file, content[which], 'a.jpg'), formEnd])
  }
  const fileStart = () => forms[which].fields.length
  const cutAt = {
    'the head of a field': () => 30,
    'the head of the file': () => fileStart() + boundary.length + 20,
    'the file': () => fileStart() + part(forms[which].file, '', 'a.jpg').length + 3,
    'the boundary behind the file': () => whole().length - formEnd.length + 5,
    'the last two dashes': () => whole().length - 4,
  }

  it.each(Object.entries(cutAt))('that ends in %s is refused and nothing of it is kept', async (_, at) => {
    const before = kept()
    const cut = whole().subarray(0, at())
    const answer = await request([cut])
    expect(answer.status).toBe(400)
    // The same, with a connection that is closed or torn down where more was promised.
    const promised = { 'Content-Length': whole().length }
    expect([null, 400]).toContain((await request([cut], { afterwards: 'end' }, promised)).status)
    expect([null, 400]).toContain((await request([cut], { afterwards: 'cut' }, promised)).status)
    expect(kept()).toEqual(before)
    expect((await fetch(`${server.address}/healthz`)).status).toBe(200)
  })

  it.each<[string, () => Buffer, Record<string, string>, number[]]>([
    ['no boundary', whole, { 'Content-Type': 'multipart/form-data' }, [400]],
    ['another boundary', whole, { 'Content-Type': 'multipart/form-data; boundary=other' }, [400]],
    ['a type of its own', whole, { 'Content-Type': 'application/octet-stream' }, [400]],
    ['a length too short', whole, { 'Content-Length': '100' }, [400]],
    ['a length that is no number', whole, { 'Content-Length': 'many' }, [400]],
    ['nothing in it', () => Buffer.alloc(0), {}, [400]],
    ['two files', () => Buffer.concat([part(forms[which].file, 'x', 'a'), whole()]), {}, [400, 413]],
    [
      'thousands of fields',
      () => Buffer.concat([...Array.from({ length: 5000 }, (_, n) => part(`f${n}`, 'x')), whole()]),
      {},
      [400, 413],
    ],
    ['a field too long', () => Buffer.concat([part('words', 'x'.repeat(20_000)), whole()]), {}, [400, 413]],
    ['a name too long', () => Buffer.concat([part('x'.repeat(5000), 'x'), whole()]), {}, [400, 413]],
    [
      'a head that is none',
      () => Buffer.concat([Buffer.from(`--${boundary}\r\nno head\r\n\r\n`), whole()]),
      {},
      [400],
    ],
    [
      'a head without an end',
      () => Buffer.from(`--${boundary}\r\nContent-Disposition: form-data${'; a=b'.repeat(20_000)}`),
      {},
      [400],
    ],
  ])('with %s is refused and nothing of it is kept', async (_, body, headers, allowed) => {
    const before = kept()
    expect(allowed).toContain((await request([body()], {}, headers)).status)
    expect(kept()).toEqual(before)
  })

  it('that is whole is taken, also in pieces', async () => {
    const pieces = Array.from({ length: 8 }, (_, n) => {
      const size = Math.ceil(whole().length / 8)
      return whole().subarray(n * size, (n + 1) * size)
    })
    expect((await request(pieces)).status).toBe(303)
  })
})

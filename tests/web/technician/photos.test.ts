import { randomUUID } from 'node:crypto'
import { mkdtempSync, readdirSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { photoPath } from '../../../server/storage/safekeeping/photo-files.ts'
import { photoType, pixelsOf, stripMetadata } from '../../../server/web/technician/photos/strip-metadata.ts'
import { cameraJpeg, jpeg, png, talkingPng } from '../../support/pictures.ts'
import { makeSite, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'
import { attend, find, report } from '../../support/walking.ts'

/** As a buffer, which can be searched. */
function strip(picture: Buffer): Buffer | null {
  const left = stripMetadata(picture)
  return left && Buffer.from(left)
}

describe('what is taken out of a picture', () => {
  it('tells a picture by its content', () => {
    expect(photoType(jpeg)).toBe('image/jpeg')
    expect(photoType(png)).toBe('image/png')
    expect(photoType(Buffer.from('<svg onload="alert(1)"/>'))).toBeNull()
    expect(photoType(Buffer.alloc(0))).toBeNull()
  })

  it('takes out place, comment and what lies behind the picture, and keeps the way up', () => {
    const left = strip(cameraJpeg()) ?? Buffer.alloc(0)
    for (const words of ['GPS', 'taken by', 'video']) expect(left.includes(words), words).toBe(false)
    // Orientation 6 in the one entry that is left; the picture itself is untouched.
    expect(left.includes(Buffer.from('12010300010000000600', 'hex'))).toBe(true)
    expect(left.subarray(-jpeg.length + 30).equals(jpeg.subarray(30))).toBe(true)
    expect(strip(jpeg)?.equals(jpeg)).toBe(true)
  })

  it('takes the texts out of a PNG', () => {
    expect(talkingPng().includes('a person')).toBe(true)
    expect(strip(talkingPng())?.includes('a person')).toBe(false)
  })

  it('knows how large a picture is from its head', () => {
    expect([pixelsOf(jpeg), pixelsOf(png), pixelsOf(cameraJpeg())]).toEqual([8 * 4, 3 * 2, 8 * 4])
    expect([pixelsOf(jpeg.subarray(0, 40)), pixelsOf(png.subarray(0, 20))]).toEqual([null, null])
    for (let at = 0; at < jpeg.length; at += 1) expect(() => pixelsOf(jpeg.subarray(0, at))).not.toThrow()
  })

  it('refuses what is damaged, wherever it is cut, and never throws', () => {
    const whole = cameraJpeg()
    for (let end = 0; end < jpeg.length; end += 1) expect(stripMetadata(jpeg.subarray(0, end))).toBeNull()
    for (let end = 0; end < png.length; end += 1) expect(stripMetadata(png.subarray(0, end))).toBeNull()
    for (let at = 0; at < whole.length; at += 1) {
      const spoilt = Buffer.from(whole)
      spoilt[at] = 0xff
      expect(() => stripMetadata(spoilt)).not.toThrow()
    }
  })
})

describe('a picture of a finding', () => {
  const dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-photos-'))
  let site: Site
  let wren: Visitor
  let fault: string
  let finding: string
  beforeAll(async () => {
    site = await makeSite({ env: { DATA_DIR: dir } })
    wren = await site.as('wren')
    fault = await report(wren)
    await attend(wren, fault)
    await find(wren, fault, 'supply', '110')
    finding = site.deps.storage.faults.get(fault).findings[0]?.id ?? ''
  })
  afterAll(() => rmSync(dir, { recursive: true }))

  const send = (file: Buffer, fields: Record<string, string> = {}) => {
    const sent = wren.agent.post(`/faults/${fault}/photos`).set('Sec-Fetch-Site', 'same-origin')
    const all = { id: randomUUID(), finding, words: 'the clip', ...fields }
    for (const [name, value] of Object.entries(all)) sent.field(name, value)
    return sent.attach('photo', file, { filename: 'a.jpg', contentType: 'image/jpeg' })
  }

  it('is kept beside the database, shown with the finding and in the record, and can be nothing but a picture', async () => {
    const answer = await send(cameraJpeg())
    expect(answer.headers.location).toBe(`/faults/${fault}/checks/dead/supply`)
    const [photo] = site.deps.storage.photos.listByFault(fault)
    expect(photo).toMatchObject({ findingId: finding, type: 'image/jpeg', words: 'the clip' })
    expect(readdirSync(path.dirname(photoPath(dir, photo?.sha256 ?? '')))).toEqual([photo?.sha256])
    for (const place of ['checks/dead/supply', 'record'])
      expect((await wren.get(`/faults/${fault}/${place}`)).html).toContain(
        `src="/photos/${photo?.id}" alt="the clip"`,
      )
    const shown = await wren.agent.get(`/photos/${photo?.id}`)
    expect(shown.headers).toMatchObject({
      ...{ 'content-type': 'image/jpeg', 'x-content-type-options': 'nosniff' },
      'content-security-policy': expect.stringMatching(
        /^default-src 'none';.* base-uri 'none'; frame-ancestors 'none';.* sandbox$/,
      ),
    })
    expect(shown.body.includes('GPS')).toBe(false)
    const stranger = await site.visitor().get(`/photos/${photo?.id}`)
    expect(stranger.location).toMatch(/^\/sign-in/)
  })

  it('is written once, however often it is sent', async () => {
    const before = site.deps.storage.photos.listByFault(fault).length
    const id = randomUUID()
    await send(png, { id })
    await send(png, { id })
    expect(site.deps.storage.photos.listByFault(fault)).toHaveLength(before + 1)
  })

  it('says what is wrong with a file that is no picture, is too large, or belongs to nothing', async () => {
    const html = await send(Buffer.from('<html><script>alert(1)</script>'))
    expect(html.status).toBe(400)
    expect(html.text).toContain('no JPEG or PNG picture')
    expect((await send(Buffer.alloc(8_000_001, 1))).status).toBe(413)
    expect((await send(jpeg, { finding: 'another' })).status).toBe(400)
    expect((await send(jpeg, { id: 'x' })).status).toBe(400)
    const moss = await site.as('moss')
    expect((await moss.post(`/faults/${fault}/photos`, { finding })).status).toBe(409)
    expect((await wren.post(`/faults/${fault}/photos`, { finding })).status).toBe(400)
  })

  it('is refused in words when it has too many points, however small its file', async () => {
    const before = site.deps.storage.photos.listByFault(fault).length
    const wide = Buffer.from(png)
    wide.writeUInt32BE(20_000, 16)
    wide.writeUInt32BE(20_000, 20)
    const tall = Buffer.from(jpeg)
    tall.writeUInt16BE(20_000, tall.indexOf(Buffer.from('ffc0', 'hex')) + 5)
    tall.writeUInt16BE(20_000, tall.indexOf(Buffer.from('ffc0', 'hex')) + 7)
    for (const picture of [wide, tall]) {
      const answer = await send(picture)
      expect([answer.status, answer.text.includes('50 million points')]).toEqual([400, true])
    }
    expect(site.deps.storage.photos.listByFault(fault)).toHaveLength(before)
  })

  it('in a form that does not say how its parts are told apart is refused in words', async () => {
    const sent = wren.agent.post(`/faults/${fault}/photos`).set('Sec-Fetch-Site', 'same-origin')
    const answer = await sent.set('Content-Type', 'multipart/form-data').send('x')
    expect([answer.status, answer.text.includes('arrived damaged')]).toEqual([400, true])
  })

  it('is never needed to go on', async () => {
    const page = await wren.get(`/faults/${fault}/checks/dead/supply`)
    expect(page.text).toContain('Go on: Loop resistance')
  })
})

import encodeQR from 'qr'
import decodeQR from 'qr/decode.js'
import { describe, expect, it } from 'vitest'
import { makeSite } from '../../support/site.ts'

const options = { ecc: 'quartile', border: 4 } as const

/** The code as a camera would see it: 4 points a module, dark on light. */
function photographed(text: string) {
  const modules = encodeQR(text, 'raw', options)
  const width = modules.length * 4
  const dark = (x: number, y: number) => modules[Math.floor(y / 4)]?.[Math.floor(x / 4)]
  const points = Array.from({ length: width * width }, (_, n) =>
    dark(n % width, Math.floor(n / width)) ? 0 : 255,
  )
  return { width, height: width, data: Uint8Array.from(points.flatMap(grey => [grey, grey, grey])) }
}

describe('the labels', () => {
  it('hold for each position of the sites chosen its plate, its name and a code of its address', async () => {
    const isla = await (await makeSite()).as('isla')
    const none = await isla.get('/positions/labels')
    expect(none.html).not.toContain('class="label-code"')
    const { html, text } = await isla.get('/positions/labels?site=site')
    expect(text).toContain('WH-3-U')
    const origin = /lead to (\S+)/.exec(text)?.[1] ?? ''
    expect(origin).toMatch(/^http:\/\/[^/]+$/)
    const address = `${origin}/positions/up`
    expect(html).toContain(encodeQR(address, 'svg', options))
    expect((await isla.get('/positions/up')).status).toBe(200)
  })

  // ISO/IEC 18004 leaves one way to read a code: read here by a decoder that shares no tables of the symbol with the page.
  it('are read as the address they were made of', () => {
    const address = 'https://fourfoot.depot.example/positions/0190b5e4-7d21-7c3a-9a54-3d1f6f0f9a11'
    expect(decodeQR(photographed(address))).toBe(address)
  })

  it('are for those who look after the depot', async () => {
    const site = await makeSite()
    expect((await (await site.as('wren')).get('/positions/labels')).status).toBe(403)
  })
})

import { expect, it } from 'vitest'
import { makeSite, people } from '../../support/site.ts'
import { attend, report } from '../../support/walking.ts'

const closing = { outcome: 'passed on', changed: 'nothing', words: 'fuse wanted' }
const told = { toldWho: 'signaller, panel 2', toldAt: '2026-11-01T22:15', toldSaid: 'block given up' }

async function closed(fields: Record<string, string>) {
  const site = await makeSite()
  const wren = await site.as('wren')
  const fault = await report(wren)
  await attend(wren, fault)
  const sign = await wren.post(`/faults/${fault}/closure/review`, { ...closing, ...fields })
  const form = sign.html.slice(sign.html.indexOf('record-sign'))
  const hidden = [
    ...form.slice(0, form.indexOf('</form>')).matchAll(/type="hidden" name="(\w+)" value="([^"]*)"/g),
  ]
  const asShown = Object.fromEntries(hidden.map(([, name = '', value = '']) => [name, value]))
  await wren.post(`/faults/${fault}/closure`, { ...asShown, printedName: people.wren.name })
  return { site, wren, fault, sign }
}

it('keeps who was told at hand-back, when and what they said, and shows it before signing and on the record', async () => {
  const { site, wren, fault, sign } = await closed(told)
  expect(sign.text).toMatch(/Told signaller, panel 2, .*22:15: block given up/)
  const { closure } = site.deps.storage.faults.get(fault)
  expect(closure?.told).toEqual({
    who: 'signaller, panel 2',
    at: '2026-11-01T22:15:00.000Z',
    said: 'block given up',
  })
  expect((await wren.get(`/faults/${fault}/record`)).text).toMatch(
    /Told signaller, panel 2, .*block given up/,
  )
})

it('says so where nobody was noted', async () => {
  const { site, wren, fault } = await closed({})
  expect((await wren.get(`/faults/${fault}/record`)).text).toContain('Told not noted')
  expect(site.deps.storage.faults.get(fault).closure?.told).toBeNull()
})

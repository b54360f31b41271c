import { beforeAll, describe, expect, it } from 'vitest'
import { calculators } from '../../../server/web/technician/calculators/calculators-list.ts'
import { makeSite } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'

const plain = (text: string) => text.replace(/\u00a0/g, ' ')
let wren: Visitor
beforeAll(async () => {
  wren = await (await makeSite()).as('wren')
})

const ask = (slug: string, fields: Record<string, string> = {}) =>
  wren.get(`/calculators/${slug}?${new URLSearchParams(fields)}`)

const cable = { length: '100', size: '2.5', temperature: '20', coreClass: 'class 2' }

it('are named on the faults page and in the masthead, and listed', async () => {
  expect((await wren.get('/faults')).html).toContain('href="/calculators"')
  const list = await wren.get('/calculators')
  for (const one of calculators) expect(list.html).toContain(`href="/calculators/${one.slug}"`)
})

describe('each calculator', () => {
  it.each(calculators.map(one => one.slug))('%s asks first, with nothing marked wrong', async slug => {
    const page = await ask(slug)
    expect(page.status).toBe(200)
    expect(page.html).not.toContain('Error:')
  })

  it.each([
    // 2 × 100 m × 7.41 Ω/km, IEC 60228 by secondary pages; at 40 °C × 274.5 ÷ 254.5 (computed).
    ['loop-resistance', cable, ['at most 1.482 Ω', 'IEC 60228', '2 × 100 m × 7.41 Ω/km']],
    ['loop-resistance', { ...cable, temperature: '40' }, ['1.598 Ω', '(234.5 + 40) ÷ 254.5']],
    ['loop-resistance', { ...cable, length: '0.1 km' }, ['at most 1.482 Ω']],
    [
      'volt-drop',
      { ...cable, supply: '110', current: '2' },
      ['2.964 V lost, 107 V at the end', '% of the supply'],
    ],
    // 20 m in 1 s is 44.74 mph: 1 mph is 0.44704 m/s exactly.
    ['spacing', { timer: '1', spacing: '20', speed: '' }, ['44.74 mph']],
    ['spacing', { timer: '1', spacing: '', speed: '60' }, ['26.82 m']],
    ['spacing', { timer: '1', spacing: '', speed: '100 km/h' }, ['27.78 m']],
    ['lead-correction', { measured: '0.80', leads: '0.30' }, ['0.80 Ω − 0.30 Ω of leads = 0.50 Ω']],
    ['lead-correction', { measured: '2.0', leads: '1.2' }, ['are worn or badly plugged in']],
    // gG to 4 A: 1.5 and 2.1 times (values from memory).
    ['fuse', { rating: '2', load: '5', kind: 'gG' }, ['the load alone blows this fuse', 'value from memory']],
    ['fuse', { rating: '2', load: '1', kind: 'miniature quick' }, ['look for what did', '30 minutes']],
  ])('%s works %o out, with its working and source', async (slug, fields, words) => {
    const page = await ask(slug, fields)
    expect(page.status).toBe(200)
    for (const one of [...words, 'Source:']) expect(plain(page.text)).toContain(one)
  })

  it.each([
    ['loop-resistance', { ...cable, length: '' }, 'Type the reading'],
    ['loop-resistance', { ...cable, length: '0' }, 'length must be more than zero'],
    ['loop-resistance', { ...cable, length: '5 V' }, 'is voltage'],
    ['loop-resistance', { ...cable, temperature: '-300' }, 'nothing is colder than −273.15'],
    ['loop-resistance', { ...cable, temperature: '900' }, 'outside −60 to 200'],
    ['loop-resistance', { ...cable, size: '3' }, 'Choose one of these'],
    ['loop-resistance', { ...cable, length: 'OL' }, 'One number is needed here'],
    ['volt-drop', { ...cable, supply: '0', current: '2' }, 'supply must be more than zero'],
    ['volt-drop', { ...cable, supply: '1', current: '50' }, 'more than the supply'],
    ['volt-drop', { ...cable, supply: '110', current: '-1' }, 'current must be zero or more'],
    ['spacing', { timer: '1', spacing: '20', speed: '60' }, 'one of the two'],
    ['spacing', { timer: '1', spacing: '', speed: '' }, 'one of the two'],
    ['spacing', { timer: '0', spacing: '20', speed: '' }, 'timer value must be more than zero'],
    ['lead-correction', { measured: '0.1', leads: '0.9' }, 'have more than the reading'],
    ['fuse', { rating: '0', load: '1', kind: 'gG' }, 'fuse rating must be more than zero'],
    ['fuse', { rating: '9', load: '1', kind: 'miniature quick' }, 'Miniature fuses run from'],
    ['fuse', { rating: '2', load: '-1', kind: 'gG' }, 'load must be zero or more'],
  ])('%s says of %o what to mend, and never NaN', async (slug, fields, words) => {
    const page = await ask(slug, fields)
    expect(page.status).toBe(400)
    expect(plain(page.text)).toContain(words)
    expect(page.html).not.toMatch(/NaN|Infinity/)
    expect(page.html).toContain('aria-invalid="true"')
  })

  it('there is none of another name', async () => {
    expect((await ask('nonsense')).status).toBe(404)
  })
})

import { describe, expect, it } from 'vitest'
import {
  able,
  checkPage,
  confirmed,
  inHand,
  makeMeasuringSite,
  read,
  standAt,
} from '../../support/measuring.ts'
import { prove } from '../../support/walking.ts'

const plain = (text: string) => text.replace(/\u00a0/g, ' ')

describe('the expected range on the check page', () => {
  it('is shown as the sum worked out, with its source, and that it is a demo value', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'loop-resistance')
    const text = plain((await checkPage(wren, fault, 'loop-resistance')).text)
    // 2 × 120 m × 7.41 Ω/km × 1.2: IEC 60228 by secondary pages, the product computed.
    expect(text).toContain('2 × 120 m × 7.41 Ω/km')
    expect(text).toContain('at most 2.13 Ω')
    expect(text).toContain('(demo value)')
    expect(text).toContain('Source: Demo value, for tests: copper after IEC 60228')
    expect(text).toContain('No instrument is named: meter error is not allowed for')
  })

  it.each([
    [
      'a missing fact',
      'loop-resistance',
      { 'cable length': null },
      'Not known at this position: cable length',
    ],
    [
      'a temperature that cannot be',
      'loop-resistance',
      { temperature: '-300' },
      'temperature is −300 °C, and nothing is colder',
    ],
    [
      'a core size there is no value for',
      'loop-resistance',
      { conductor: '3' },
      'no value for a core of 3 mm²',
    ],
    ['a negative length', 'loop-resistance', { 'cable length': '-5' }, 'length must be more than zero'],
    ['a division by zero', 'set-speed', { timer: '0' }, 'divides by zero: look at timer'],
    [
      'a number that is a word',
      'loop-resistance',
      { 'cable length': 'long' },
      'the cable length is “long”. It must be a number in m',
    ],
  ])('says what to mend for %s, and is never NaN', async (_words, check, facts, message) => {
    const site = await makeMeasuringSite(facts)
    const wren = await site.as('wren')
    const fault = await standAt(wren, check)
    const page = await checkPage(wren, fault, check)
    expect(page.status).toBe(200)
    expect(plain(page.text)).toContain(message)
    expect(page.html).not.toMatch(/NaN|Infinity|undefined/)
    const sent = await read(wren, fault, check, '1')
    expect([sent.status, sent.text]).toEqual([400, expect.stringContaining('no limit to judge this by')])
    await read(wren, fault, check, '1', { row: 'otherwise' })
    expect((await wren.get(`/faults/${fault}/record`)).html).not.toMatch(/NaN|Infinity/)
  })

  it('turns a wrong unit back with what to type', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'supply')
    for (const [typed, words] of [
      ['110 ohm', 'this check asks for'],
      ['110 V DC', 'this check asks for'],
      ['abc', 'no number in it'],
    ] as const) {
      const sent = await read(wren, fault, 'supply', typed)
      expect([sent.status, sent.text]).toEqual([400, expect.stringContaining(words)])
      expect(sent.html).toContain(`value="${typed}"`)
    }
    expect(site.deps.storage.faults.get(fault).findings).toEqual([])
  })
})

describe('the verdict', () => {
  const meter = [able('V AC', 600, [1, 3, 0.1])]
  // ±(1 % + 3 counts of 0.1 V) is ±1.1 to 1.5 V here, expanded ±1.3 to 1.8 V (computed); zones after ILAC-G8:09/2019 4.2.3.
  it.each([
    ['110', 'In range', 'more than 99 %'],
    ['99.8', 'In range, but too close to call', 'likely to be in range'],
    ['98.5', 'Below, but too close to call', 'likely to be in range'],
    ['90', 'Below', 'less than 1 %'],
  ])('of %s with a meter is told in words: %s', async (typed, word, odds) => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    await inHand(site, wren, 'multimeter', meter)
    const fault = await standAt(wren, 'supply')
    await read(wren, fault, 'supply', typed)
    const found = plain((await checkPage(wren, fault, 'supply')).text)
    expect(found).toContain(word)
    expect(found).toContain(odds)
    expect(found).toContain('Judged with the meter’s own uncertainty allowed for')
    const record = plain((await wren.get(`/faults/${fault}/record`)).text)
    expect(record).toContain(word)
    expect(record).toContain('multimeter T-1')
  })

  it('too close to call does not prove a repair, and says so', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    await inHand(site, wren, 'multimeter', meter)
    const fault = await standAt(wren, 'supply')
    await read(wren, fault, 'supply', 'none')
    await wren.post(`/faults/${fault}/identity`, { typed: 'WH-9' })
    await wren.post(`/faults/${fault}/repairs`, { action: 'other', words: 'wire put right' })
    await prove(wren, fault, 'supply', '99.8').then(page => expect(page.status).toBe(404))
    await wren.post(`/faults/${fault}/proof/measured/supply`, { text: '99.8' })
    const proof = plain((await wren.get(`/faults/${fault}/proof`)).text)
    expect(proof).toContain('too close to call: not passed')
    expect(proof).toContain('It does not prove a repair')
    expect(site.deps.storage.faults.get(fault).proofs.map(one => one.passed)).toEqual([false])
    await wren.post(`/faults/${fault}/proof/measured/supply`, { text: '110' })
    expect(site.deps.storage.faults.get(fault).proofs.map(one => one.passed)).toEqual([false, true])
  })

  it.each([
    ['OL', 'OL (over the meter’s range)'],
    ['none', 'No reading where 99 to 121 V AC is expected'],
    ['>50', 'More than 50'],
    ['<150', 'Less than 150'],
    ['92-104', 'wanders in and out of'],
    ['92 - 104', 'wanders in and out of'],
  ])('judges %s as what it is, and not as text', async (typed, words) => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'supply')
    await read(wren, fault, 'supply', typed, { confirmed: typed })
    expect(plain((await checkPage(wren, fault, 'supply')).text)).toContain(words)
  })

  it('points a reading below what the copper can have to a short nearer than the loop', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'loop-resistance')
    await read(wren, fault, 'loop-resistance', '0.9', { confirmed: '0.9' })
    // 2 × 120 m ÷ 58 ÷ 2.5 mm² is 1.655 Ω (computed); a sound cable has at most 1.778 Ω.
    const found = plain((await checkPage(wren, fault, 'loop-resistance')).text)
    expect(found).toContain('In range, but lower than it can be')
    expect(found).toContain(
      'lower than the copper could have (1.655 Ω): look for a short nearer than the loop',
    )
    expect(plain((await wren.get(`/faults/${fault}/record`)).text)).toContain('a short nearer than the loop')
  })
})

describe('a reading a sound cable gives', () => {
  it('is not taken for lower than the copper could have', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'loop-resistance')
    await read(wren, fault, 'loop-resistance', '1.75')
    expect((await checkPage(wren, fault, 'loop-resistance')).text).not.toContain('lower than')
  })
})

describe('a frequency', () => {
  it('of the other direction’s tone is said to look like an opposite-direction unit, with the margin', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'arming-tone')
    await read(wren, fault, 'arming-tone', '64.74')
    const found = plain((await checkPage(wren, fault, 'arming-tone')).text)
    expect(found).toContain('This looks like an opposite-direction unit')
    expect(found).toContain('64.74 kHz is 10 Hz below the arming tone (64.75 kHz, opposite direction)')
    expect(found).toContain('240 Hz more')
  })

  it('of the position’s own tone raises no warning', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'arming-tone')
    await read(wren, fault, 'arming-tone', '64.25')
    const found = plain((await checkPage(wren, fault, 'arming-tone')).text)
    expect(found).toContain('64.25 kHz is exactly the arming tone')
    expect(found).not.toContain('looks like')
  })
})

describe('insulation', () => {
  it('shows test voltage and least value by circuit, and asks for both ends off before the reading', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'insulation')
    const first = await checkPage(wren, fault, 'insulation')
    // BS 7671 Table 64 by secondary pages.
    expect(plain(first.text)).toContain('Circuit up to 500 V: test at 500 V DC , at least 1 MΩ')
    expect(first.text).toContain('Both ends are off')
    expect(first.html).not.toContain('name="text"')
    const half = await checkPage(wren, fault, 'insulation', '?dead=yes&ends=yes')
    expect(half.text).toContain('Electronics are still connected')
    expect(half.html).not.toContain('name="text"')
    const all = await checkPage(wren, fault, 'insulation', '?dead=yes&ends=yes&electronics=yes')
    expect(all.html).toContain('name="text"')
  })

  it('records no reading before all is confirmed, keeps what was typed, and keeps what was confirmed', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'insulation')
    const refused = await read(wren, fault, 'insulation', '200M', { dead: 'yes' })
    expect([refused.status, refused.text]).toEqual([400, expect.stringContaining('Both ends are not off')])
    expect(refused.html).toContain('value="200M"')
    expect(site.deps.storage.faults.get(fault).findings.filter(one => one.kind === 'reading')).toEqual([])
    await read(wren, fault, 'insulation', '200M', confirmed)
    expect((await wren.get(`/faults/${fault}/record`)).text).toContain('Confirmed first: Proved dead')
  })

  it('shows a wet reading beside the dry one, at the check and at the position', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const dry = await standAt(wren, 'insulation')
    await read(wren, dry, 'insulation', '200M', { ...confirmed, wetOrDry: 'dry' })
    expect((await checkPage(wren, dry, 'insulation')).text).not.toContain('Wet beside dry')
    await wren.post(`/faults/${dry}/closure`, {})
    const wet = await standAt(wren, 'insulation')
    await read(wren, wet, 'insulation', '2M', { ...confirmed, wetOrDry: 'wet' })
    const found = plain((await checkPage(wren, wet, 'insulation')).text)
    expect(found).toContain('Wet beside dry')
    expect(found).toContain('the insulation falls to 2 MΩ from 200 MΩ dry')
    const position = plain((await wren.get('/positions/line')).text)
    expect(position).toContain('Insulation, wet beside dry')
    expect(position).toContain('look for water in a joint')
  })
})

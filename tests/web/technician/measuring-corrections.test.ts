import { describe, expect, it } from 'vitest'
import { able, checkPage, inHand, makeMeasuringSite, read, standAt } from '../../support/measuring.ts'
import type { Site } from '../../support/site.ts'

const plain = (text: string) => text.replace(/\u00a0/g, ' ')

function lastReading(site: Site, fault: string) {
  const finding = site.deps.storage.faults.get(fault).findings.findLast(one => one.kind === 'reading')
  if (finding?.kind !== 'reading') throw new Error('no reading was recorded')
  return finding
}

describe('leads', () => {
  it('are subtracted, with the sum shown, what was typed kept, and the record telling both', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'loop-resistance')
    await read(wren, fault, 'loop-resistance', '2.05', { leads: 'subtract', leadOhms: '0.30' })
    const finding = lastReading(site, fault)
    expect(finding.text).toBe('2.05')
    expect(finding.reading).toMatchObject({ value: 1.75, unit: 'ohm' })
    const sum = '2.05 Ω − 0.30 Ω of leads = 1.75 Ω'
    expect(plain((await checkPage(wren, fault, 'loop-resistance')).text)).toContain(sum)
    const record = plain((await wren.get(`/faults/${fault}/record`)).text)
    expect(record).toContain(sum)
    expect(record).toContain('Typed: 2.05 (reading), 0.30 (leads)')
  })

  it('add their own uncertainty to the verdict', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    await inHand(site, wren, 'multimeter', [able('ohm', 600, [1, 5, 0.01], '2-wire', 3)])
    const fault = await standAt(wren, 'loop-resistance')
    await read(wren, fault, 'loop-resistance', '2.05', { leads: 'subtract', leadOhms: '0.30' })
    // ±(1 % + 5 counts of 0.01 Ω): 0.0705 and 0.053 Ω; each ÷ √3, root of the sum of squares, times 2 (computed).
    expect(lastReading(site, fault).verdict.uncertainty).toBeCloseTo(
      (2 * Math.hypot(0.0705, 0.053)) / Math.sqrt(3),
      6,
    )
  })

  it('zeroed are noted and change nothing', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'loop-resistance')
    await read(wren, fault, 'loop-resistance', '1.75', { leads: 'zeroed' })
    expect(lastReading(site, fault).reading).toMatchObject({ value: 1.75 })
    expect((await wren.get(`/faults/${fault}/record`)).text).toContain('Leads zeroed before the reading')
  })

  it.each([
    [{ leads: 'subtract', leadOhms: '' }, 'Type the reading'],
    [{ leads: 'subtract', leadOhms: '9' }, 'have more than the reading'],
    [{ leads: 'subtract', leadOhms: '-1' }, 'must be zero or more'],
    [{ leads: '', leadOhms: '0.3' }, 'say that it is to be subtracted'],
    [{ leads: 'subtract', leadOhms: '0.3', text: 'OL' }, 'subtracted from a number only'],
  ])('given as %o are turned back with what to mend', async (fields, words) => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'loop-resistance')
    const sent = await read(wren, fault, 'loop-resistance', '2.05', fields)
    expect([sent.status, sent.text]).toEqual([400, expect.stringContaining(words)])
    expect(sent.html).toMatch(/<details class="more" open>/)
  })
})

describe('a volt drop under load', () => {
  it.each([
    [{ drop: '12m', current: '0' }, 'No current flows'],
    [{ drop: '12m', current: '' }, 'Type the reading'],
    [{ drop: '12 mV AC', current: '1' }, 'this check asks for'],
    [{ drop: 'OL', current: '1' }, 'A number is needed'],
    [{ drop: '12m', current: '1', leads: 'zeroed' }, 'no lead resistance comes in'],
    [{ drop: '12m', current: '1', text: '3' }, 'not both'],
  ])('given as %o is turned back with what to mend, never NaN', async (fields, words) => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'contact')
    const sent = await read(wren, fault, 'contact', '', fields)
    expect([sent.status, sent.text]).toEqual([400, expect.stringContaining(words)])
    expect(sent.html).not.toMatch(/NaN|Infinity/)
  })

  it('is of no use where no resistance is asked for', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'supply')
    expect((await checkPage(wren, fault, 'supply')).html).not.toContain('name="drop"')
    const sent = await read(wren, fault, 'supply', '', { drop: '1', current: '1' })
    expect(sent.text).toContain('this check asks for another')
  })
})

describe('several readings', () => {
  it.each(['109.8; 110.2; 110.0', '109.8 110.2 110.0', '109.8 110.2 110.0 V AC', '109.8V 110.2V 110.0V'])(
    'typed as %s are averaged with their spread',
    async typed => {
      const site = await makeMeasuringSite()
      const wren = await site.as('wren')
      const fault = await standAt(wren, 'supply')
      await read(wren, fault, 'supply', typed)
      const finding = lastReading(site, fault)
      expect(finding.reading).toMatchObject({ value: 110, unit: 'V AC' })
      // t for 95 % and 2 degrees of freedom is 4.303 (value from memory); 4.303 × 0.2 ÷ √3 is 0.497 (computed).
      expect(plain((await checkPage(wren, fault, 'supply')).text)).toContain(
        'the true mean lies within ±0.5 V AC',
      )
      expect(plain((await wren.get(`/faults/${fault}/record`)).text)).toContain('÷ 3 = 110.0 V AC')
    },
  )

  it('can be added one by one, and nothing is recorded before the last', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'supply')
    const first = await read(wren, fault, 'supply', '109.8', { how: 'another' })
    expect([first.status, first.html.includes('value="109.8"')]).toEqual([200, true])
    const second = await read(wren, fault, 'supply', '110.2', { how: 'another', series: '109.8' })
    expect(second.html).toContain('value="109.8; 110.2"')
    expect(site.deps.storage.faults.get(fault).findings).toEqual([])
    await read(wren, fault, 'supply', '110.0', { series: '109.8; 110.2' })
    expect(lastReading(site, fault)).toMatchObject({ text: '109.8; 110.2; 110.0', reading: { value: 110 } })
  })

  it('that could be one number with spaces are asked about', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'supply')
    const asked = await read(wren, fault, 'supply', '110 112')
    expect(asked.text).toContain('one number or several readings?')
    await read(wren, fault, 'supply', '110 112', { meant: '110; 112' })
    expect(lastReading(site, fault).reading).toMatchObject({ value: 111 })
  })

  it('with one that is no number are turned back', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'supply')
    expect((await read(wren, fault, 'supply', '110; OL')).text).toContain('Reading 2, “OL”, is no number')
  })

  it('come back into the form as typed when the finding is corrected', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'loop-resistance')
    await read(wren, fault, 'loop-resistance', '2.04; 2.06', { leads: 'subtract', leadOhms: '0.3' })
    const form = await wren.get(`/faults/${fault}/findings/${lastReading(site, fault).id}/correction`)
    expect(form.html).toContain('value="2.04; 2.06"')
    expect(form.html).toContain('value="0.3"')
  })
})

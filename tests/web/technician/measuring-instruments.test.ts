import { randomUUID } from 'node:crypto'
import { describe, expect, it } from 'vitest'
import type { InstrumentFunction } from '../../../server/measurement/instruments/instrument.ts'
import {
  able,
  checkPage,
  confirmed,
  inHand,
  makeMeasuringSite,
  read,
  standAt,
} from '../../support/measuring.ts'
import { makeSite } from '../../support/site.ts'
import { attend, report } from '../../support/walking.ts'

const plain = (text: string) => text.replace(/\u00a0/g, ' ')
const twoWire = [
  able('V DC', 0.6, [0.5, 2, 0.0001]),
  able('A', 10, [1, 3, 0.01]),
  able('ohm', 600, [1, 5, 0.1], '2-wire', 3),
]
const fourWire = [able('mohm', 200, [0.5, 3, 0.1], '4-wire', 0.01)]

describe('an instrument against what a check needs', () => {
  it('with two wires is refused for a contact in milliohms: said before, not recorded, what was typed kept', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    await inHand(site, wren, 'multimeter', twoWire)
    const fault = await standAt(wren, 'contact')
    const before = await checkPage(wren, fault, 'contact')
    expect(before.text).toContain('Not with this instrument')
    expect(before.text).toContain('measures with two wires')
    const refused = await read(wren, fault, 'contact', '30m')
    expect([refused.status, refused.text]).toEqual([400, expect.stringContaining('Not recorded.')])
    expect(refused.html).toContain('value="30m"')
    expect(site.deps.storage.faults.get(fault).findings.some(one => one.kind === 'reading')).toBe(false)
  })

  it('with two wires may give it by the volt drop under load, judged by what volts and amperes are worth', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    await inHand(site, wren, 'multimeter', twoWire)
    const fault = await standAt(wren, 'contact')
    await read(wren, fault, 'contact', '', { drop: '12 mV', current: '1.5 A' })
    const found = plain((await checkPage(wren, fault, 'contact')).text)
    expect(found).toContain('12 mV DC ÷ 1.5 A = 8 mΩ')
    expect(found).toContain('Judged with the meter’s own uncertainty')
    const [finding] = site.deps.storage.faults.get(fault).findings.filter(one => one.kind === 'reading')
    expect(finding).toMatchObject({ text: '12 mV ÷ 1.5 A', reading: { value: 0.008, unit: 'ohm' } })
    expect(finding?.kind === 'reading' && finding.verdict.uncertainty).toBeGreaterThan(0)
  })

  it('with four wires and few volts is not complained of', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    await inHand(site, wren, 'four-wire ohmmeter', fourWire)
    const fault = await standAt(wren, 'contact')
    expect((await checkPage(wren, fault, 'contact')).text).not.toContain('Not with this instrument')
    await read(wren, fault, 'contact', '30m')
    expect((await checkPage(wren, fault, 'contact')).text).toContain('In range')
  })

  it('whose test voltage would break the film is refused, and one not on record is cautioned of', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'contact')
    await inHand(site, wren, 'strong', [able('mohm', 200, [0.5, 3, 0.1], '4-wire', 3)])
    expect((await read(wren, fault, 'contact', '30m')).text).toContain('breaks through the film')
    await inHand(site, wren, 'unknown', [able('mohm', 200, [0.5, 3, 0.1], '4-wire')])
    const page = await checkPage(wren, fault, 'contact')
    expect(page.text).toContain('is not on record')
    expect((await read(wren, fault, 'contact', '30m')).status).toBe(303)
  })

  it('that does not test at the voltage asked for is refused', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'insulation')
    await inHand(site, wren, 'insulation tester', [able('Mohm', 1000, [3, 2, 0.01], 'direct', 250)])
    const refused = await read(wren, fault, 'insulation', '200', confirmed)
    expect(plain(refused.text)).toContain('does not test at 500 V')
  })
})

describe('an instrument out of calibration', () => {
  it('is warned of at the check, marked in the record, and its readings listed for the engineer', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    const isla = await site.as('isla')
    await inHand(site, wren, 'multimeter', [able('V AC', 600, [1, 3, 0.1])], '2026-10-31')
    const fault = await standAt(wren, 'supply')
    expect((await checkPage(wren, fault, 'supply')).text).toContain('Calibration out of date')
    await read(wren, fault, 'supply', '110')
    expect((await wren.get(`/faults/${fault}/record`)).text).toContain('calibration out of date')
    const register = await isla.get('/instruments/register')
    expect(register.text).toContain('Wendle Halt, Line')
    expect(register.text).toContain('31 Oct 2026')
  })
})

const made = () => ({
  id: randomUUID(),
  calibrationId: randomUUID(),
  kind: 'multimeter',
  serial: 'A-7',
  due: '2027-03-31',
  ...{
    unit0: 'V AC',
    range0: '600',
    percent0: '1',
    counts0: '3',
    resolution0: '0.1',
    method0: 'direct',
    test0: '',
    frequency0: '45 to 400',
  },
  ...{
    unit1: 'ohm',
    range1: '600',
    percent1: '1',
    counts1: '5',
    resolution1: '0,1',
    method1: '2-wire',
    test1: '3',
  },
  ...{ unit2: '', range2: '', method2: 'direct' },
})

describe('choosing an instrument', () => {
  const kept: [string, InstrumentFunction[]][] = [
    ['multimeter', twoWire.concat(able('V AC', 600, [1, 3, 0.1]))],
    ['small meter', [able('V AC', 60, [1, 3, 0.1])]],
    ['ohmmeter', fourWire],
    ['megger', [able('Mohm', 1000, [3, 2, 0.01], 'direct', 500)]],
    ['weak tester', [able('Mohm', 1000, [3, 2, 0.01], 'direct', 250)]],
    ['tape', [able('m', 50, [0.05, 1, 0.005])]],
  ]

  async function register() {
    const site = await makeMeasuringSite()
    for (const [id, functions] of kept) {
      const named = { id, kind: id, serial: `no ${id}`, functions, calibrationDue: null }
      site.deps.storage.instruments.create(named)
    }
    return site
  }

  const chooseLink = (html: string) =>
    /href="([^"]*\/instrument\/[^"]*)"/.exec(html)?.[1]?.replaceAll('&amp;', '&') ?? ''
  const listed = (html: string) =>
    [...html.matchAll(/name="instrument"[^>]*?value="([^"]+)"/g)].map(match => match[1])

  it.each([
    ['supply', ['multimeter', 'none']],
    // The multimeter gives milliohms by the volt drop under load.
    ['contact', ['ohmmeter', 'multimeter', 'none']],
    ['insulation', ['megger', 'none']],
  ])('at %s offers only what fits the quantity and the circuit', async (check, fits) => {
    const site = await register()
    const wren = await site.as('wren')
    const fault = await standAt(wren, check)
    const page = await wren.get(`/faults/${fault}/instrument/measured/${check}`)
    expect(listed(page.html)).toEqual(fits)
  })

  it('is remembered for its kind of measurement and for the person', async () => {
    const site = await register()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'supply')
    await wren.post('/instruments/chosen', { instrument: 'multimeter', purpose: 'V AC' })
    const fields = { instrument: 'ohmmeter', purpose: 'milliohms' }
    const chose = await wren.agent
      .post('/instruments/chosen')
      .type('form')
      .set('Sec-Fetch-Site', 'same-origin')
      .send(fields)
    expect((await checkPage(wren, fault, 'supply')).text).toContain('With multimeter no multimeter')
    await read(wren, fault, 'supply', '110')
    await read(wren, fault, 'loop-resistance', '1.5', { row: 'in range' })
    expect((await checkPage(wren, fault, 'contact')).text).toContain('With ohmmeter no ohmmeter')
    const moss = await site.as('moss')
    const [cookie] = chose.headers['set-cookie'] ?? []
    expect(cookie).toContain('instrument=')
    moss.agent.jar.setCookie(String(cookie))
    const own = await report(moss, { position: 'back', tree: 'measured' })
    await attend(moss, own)
    expect((await checkPage(moss, own, 'supply')).text).toContain('No instrument is named')
  })

  it('leads back to the step it was chosen from, after a refused reading and on a proof too', async () => {
    const site = await register()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'supply')
    const refused = await read(wren, fault, 'supply', 'many')
    expect(refused.status).toBe(400)
    const link = chooseLink(refused.html)
    const step = `/faults/${fault}/checks/measured/supply`
    expect(link).toBe(`/faults/${fault}/instrument/measured/supply?return=${encodeURIComponent(step)}`)
    const form = await wren.get(link)
    expect(form.html).toContain(`name="return" value="${step}"`)
    const fields = { instrument: 'multimeter', purpose: 'V AC', return: step }
    expect((await wren.post('/instruments/chosen', fields)).location).toBe(step)
  })

  it('keeps what was confirmed before an insulation test', async () => {
    const site = await register()
    const wren = await site.as('wren')
    const fault = await standAt(wren, 'insulation')
    const page = await checkPage(wren, fault, 'insulation', '?dead=yes&ends=yes&electronics=yes')
    expect(decodeURIComponent(chooseLink(page.html))).toContain('dead=yes&ends=yes&electronics=yes')
  })

  it('is not for a check that measures nothing', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    expect((await wren.get(`/faults/${fault}/instrument/dead/telltale`)).status).toBe(404)
  })
})

describe('a reading too close to call', () => {
  it('is measured again first, with what tells better named, and only then goes on, not certain', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    await inHand(site, wren, 'multimeter', [able('V AC', 600, [1, 3, 0.1])])
    const fine = [able('V AC', 200, [0.05, 1, 0.01])]
    site.deps.storage.instruments.create({
      id: 'fine',
      kind: 'fine meter',
      serial: 'F-2',
      functions: fine,
      calibrationDue: null,
    })
    const fault = await standAt(wren, 'supply')
    await read(wren, fault, 'supply', '98.8')
    const first = await checkPage(wren, fault, 'supply')
    expect(plain(first.text)).toContain('Better: fine meter F-2 on the 200 V AC range: ±')
    expect(first.text).toContain('Measure again')
    expect(first.text).not.toContain('Supply fuse blown')
    expect(first.text).toContain('If that is so: The supply is not.')
    const again = /href="([^"]*again=yes)"/.exec(first.html)?.[1] ?? ''
    const form = await wren.get(again)
    expect(form.text).toContain('Measure again: Supply')
    expect(form.html).toContain('Measured again: too close to call')
    const [old] = site.deps.storage.faults.get(fault).findings.filter(one => one.kind === 'reading')
    await read(wren, fault, 'supply', '98.9', { replaces: old?.id ?? '', reason: 'Measured again' })
    const second = await checkPage(wren, fault, 'supply')
    expect(second.text).toContain('Still too close to call')
    expect(second.text).toContain('Go on, not certain: perhaps Supply fuse blown')
  })

  it('says so where nothing on the register tells better, and lets the technician go on', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    await inHand(site, wren, 'multimeter', [able('V AC', 600, [1, 3, 0.1])])
    const fault = await standAt(wren, 'supply')
    await read(wren, fault, 'supply', '98.8')
    const page = await checkPage(wren, fault, 'supply')
    expect(page.text).toContain('No instrument on the register tells better here')
    expect(page.text).toContain('I cannot measure it again: go on')
  })

  it('that is clear goes on as ever', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    await inHand(site, wren, 'multimeter', [able('V AC', 600, [1, 3, 0.1])])
    const fault = await standAt(wren, 'supply')
    await read(wren, fault, 'supply', '60')
    const page = await checkPage(wren, fault, 'supply')
    expect(page.text).not.toContain('Measure again')
    expect(page.text).toContain('Cause: Supply fuse blown')
  })
})

describe('the register', () => {
  it('takes an instrument with what it can do, recalibrates it, retires it and brings it back', async () => {
    const site = await makeMeasuringSite()
    const isla = await site.as('isla')
    const form = made()
    const sent = await isla.post('/instruments/register', form)
    expect(sent.location).toBe(`/instruments/register/${form.id}`)
    expect((await isla.post('/instruments/register', form)).location).toBe(sent.location)
    const { instruments } = site.deps.storage
    expect(instruments.find(form.id)).toMatchObject({
      calibrationDue: '2027-03-31',
      functions: [
        {
          unit: 'V AC',
          range: 600,
          accuracy: { percent: 1, counts: 3, resolution: 0.1 },
          testVoltage: null,
          frequency: { from: 45, to: 400 },
        },
        { unit: 'ohm', method: '2-wire', accuracy: { resolution: 0.1 }, testVoltage: 3 },
      ],
    })
    site.pass(1)
    await isla.post(`${sent.location}/calibrations`, { due: '2028-03-31' })
    expect(instruments.find(form.id)?.calibrationDue).toBe('2028-03-31')
    expect((await isla.get(sent.location)).text).toContain('until 31 Mar 2028')
    await isla.post(`${sent.location}/functions`, { ...form, id: randomUUID(), range0: '1000' })
    expect(instruments.find(form.id)?.functions[0]?.range).toBe(1000)
    const wren = await site.as('wren')
    await isla.post(`${sent.location}/retirement`, { active: 'no' })
    const fault = await standAt(wren, 'supply')
    const choice = `/faults/${fault}/instrument/measured/supply`
    expect((await wren.get(choice)).text).not.toContain('A-7')
    await isla.post(`${sent.location}/retirement`, { active: 'yes' })
    expect((await wren.get(choice)).text).toContain('A-7')
  })

  it.each([
    [{ unit0: 'V' }, 'Say V AC or V DC'],
    [{ unit0: 'vots' }, 'is no unit known here'],
    [{ range0: 'many' }, 'Give the top of the range as a number'],
    [{ resolution0: '0' }, 'the resolution must be more than zero'],
    [{ resolution0: '900' }, 'coarser than the whole range'],
    [{ frequency0: 'high' }, 'Give the frequencies in hertz'],
    [{ frequency0: '400 to 45' }, 'Give the frequencies in hertz'],
    [{ percent0: '-1' }, 'must be zero or more'],
    [{ due: '31 March' }, 'year, month and day'],
    [{ serial: '' }, 'Read its serial number'],
  ])('turns %o back with what to mend, and keeps the rest', async (wrong, words) => {
    const site = await makeMeasuringSite()
    const isla = await site.as('isla')
    const sent = await isla.post('/instruments/register', { ...made(), ...wrong })
    expect(sent.status).toBe(400)
    expect(sent.text.toLowerCase()).toContain(words.toLowerCase())
    expect(sent.html).toContain('value="5"')
    expect(site.deps.storage.instruments.list()).toEqual([])
  })

  it('takes no second instrument of the same kind and serial number', async () => {
    const site = await makeMeasuringSite()
    const isla = await site.as('isla')
    await isla.post('/instruments/register', made())
    const again = await isla.post('/instruments/register', { ...made(), serial: 'a-7' })
    expect([again.status, again.text]).toEqual([400, expect.stringContaining('is in the register already')])
  })

  it('is the engineer’s', async () => {
    const site = await makeMeasuringSite()
    const wren = await site.as('wren')
    expect((await wren.get('/instruments/register')).status).toBe(403)
    expect((await wren.post('/instruments/register', made())).status).toBe(403)
  })
})

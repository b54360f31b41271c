import { randomUUID } from 'node:crypto'
import { describe, expect, it } from 'vitest'
import { makeSite, people, pin } from '../../support/site.ts'
import { attend, close, find, identify, prove, report } from '../../support/walking.ts'

describe('before it starts', () => {
  it('will not start until the history is seen and the arrangements are said', async () => {
    const wren = await (await makeSite()).as('wren')
    const fault = await report(wren)
    const refused = await attend(wren, fault, { seen: '', protection: ' ' })
    expect(refused.status).toBe(400)
    expect(refused.text).toContain('Read the history and the open entries first')
    expect(refused.text).toContain('Say how you are protected from trains')
    expect(refused.html).toContain('signaller, panel 2')
  })

  it('shows the cautions of the equipment and of the tree in full, and never says that it is safe', async () => {
    const wren = await (await makeSite()).as('wren')
    const fault = await report(wren)
    const page = await wren.get(`/faults/${fault}/attendances/new`)
    expect(page.text).toContain('Local rules come first')
    expect(page.text).toContain('Fourfoot never says that it is safe to be on the track')
  })

  it('warns of an open fault and of a repeat at the same position', async () => {
    const wren = await (await makeSite()).as('wren')
    const first = await report(wren)
    expect((await wren.get('/faults/new?position=up')).text).toContain('A fault is open here already')
    await attend(wren, first)
    await close(wren, first, people.wren.name, { outcome: 'not reproduced' })
    const second = await report(wren)
    expect((await wren.get(`/faults/${second}`)).text).toContain(
      '1 fault here in the 90 days before this one',
    )
  })

  it('says by which of the depot’s rules it is a repeat, when it is opened and when it is closed', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    for (let turn = 0; turn < 2; turn += 1) {
      const before = await report(wren)
      await attend(wren, before)
      await close(wren, before, people.wren.name, { outcome: 'not reproduced' })
    }
    const third = await report(wren)
    const said = 'Repeat: third in a year 3 with this symptom here in 365 days'
    expect((await wren.get(`/faults/${third}`)).text).toContain(said)
    expect((await wren.get(`/faults/${third}/attendances/new`)).text).toContain(said)
    await attend(wren, third)
    expect((await wren.get(`/faults/${third}/closure`)).text).toContain(said)
  })

  it('asks for the conditions of a symptom that comes and goes, and keeps them', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren, { intermittent: 'yes', condition1: 'heavy rain' })
    expect((await wren.get(`/faults/${fault}`)).text).toContain('heavy rain')
  })

  it('keeps the temperature of the air as a number, whatever the fault, and asks again for what is none', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren, { temperature: '−3,5 °C' })
    expect(site.deps.storage.faults.get(fault).conditions).toEqual([
      { name: 'temperature', value: '-3.5 °C' },
    ])
    const words = await report(wren, { condition1: 'frost' })
    const isla = await site.as('isla')
    const rows = JSON.parse((await isla.get('/export/conditions.json')).html)
    expect(rows).toEqual(
      [
        { fault_id: fault, name: 'temperature', value: '-3.5 °C', celsius: -3.5 },
        { fault_id: words, name: 'weather', value: 'frost', celsius: null },
      ].sort((a, b) => (a.fault_id < b.fault_id ? -1 : 1)),
    )
    const sent = {
      id: crypto.randomUUID(),
      position: 'up',
      tree: 'dead',
      noticed: 'Dark',
      protection: 'kept',
    }
    for (const temperature of ['freezing', '-200', '3 °F']) {
      const page = await wren.post('/faults', { ...sent, reportedBy: 'signaller', temperature })
      expect(page.text, temperature).toMatch(/Give one number of °C|is no temperature of the air/)
    }
  })
})

describe('the evidence hold', () => {
  it.each(['lost', 'not known'])(
    'is announced from the report on when protection is %s: who is told first, nothing touched, no hand-back time',
    async protection => {
      const site = await makeSite()
      const wren = await site.as('wren')
      const fault = await report(wren, { protection })
      const page = await wren.get(`/faults/${fault}`)
      expect(page.text).toContain('Treat this as a wrong-side failure')
      expect(page.text).toMatch(/Tell the signaller now.*Leave everything as found/)
      expect(page.text).not.toContain('most likely back by')
      expect((await wren.get('/faults')).text).toContain(`protection ${protection}`)
      await (await site.as('isla')).post(`/faults/${fault}/release`, { reason: 'data taken' })
      expect((await wren.get(`/faults/${fault}`)).text).not.toContain('Tell the signaller now')
    },
  )

  it('is not announced when protection was still working', async () => {
    const wren = await (await makeSite()).as('wren')
    const page = await wren.get(`/faults/${await report(wren)}`)
    expect(page.text).toContain('Train protection was still working.')
    expect(page.text).not.toContain('wrong-side')
    expect((await wren.get('/faults')).text).not.toContain('protection lost')
  })

  it('stops before anything is disturbed when protection was lost, until an engineer releases it', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren, { protection: 'lost' })
    await attend(wren, fault, { plate: '' })
    await find(wren, fault, 'supply', '110')
    const held = await wren.open(`/faults/${fault}/next`)
    expect(held.text).toContain('Stop: leave it as it is')
    const early = await find(wren, fault, 'loop-resistance', '1.1')
    expect(early.status).toBe(409)
    expect((await wren.post(`/faults/${fault}/release`, { reason: 'I say so' })).status).toBe(403)
    const isla = await site.as('isla')
    expect((await isla.get('/open')).text).toContain('Evidence held')
    expect((await isla.post(`/faults/${fault}/release`, { reason: '' })).text).toContain(
      'Say why the evidence may',
    )
    await isla.post(`/faults/${fault}/release`, { reason: 'data taken, photographs made' })
    expect((await wren.get(`/faults/${fault}/next`)).location).toContain('/identity')
    expect((await wren.get(`/faults/${fault}/record`)).text).toContain('data taken, photographs made')
  })
})

describe('identity', () => {
  it('tells a neighbour’s plate from a wrong one, and keeps both on record', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault, { plate: '' })
    await find(wren, fault, 'supply', '110')
    await identify(wren, fault, 'WH-3-D')
    expect((await wren.get(`/faults/${fault}/identity`)).text).toContain(
      'That is the plate of Overspeed loops, down',
    )
    await identify(wren, fault, 'XX')
    expect((await wren.get(`/faults/${fault}/identity`)).text).toContain('not the plate of this position')
    await identify(wren, fault, 'wh 3 u')
    expect((await wren.open(`/faults/${fault}/next`)).text).toContain('Take the wire off L1')
    expect(site.deps.storage.faults.get(fault).identities).toHaveLength(3)
  })

  it('asks again after a break, and keeps a reading that was taken before it', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    await find(wren, fault, 'supply', '110')
    await identify(wren, fault)
    site.pass(45)
    const again = await site.as('wren')
    expect((await again.get(`/faults/${fault}/next`)).location).toContain('/identity')
    await find(again, fault, 'loop-resistance', '5')
    expect(site.deps.storage.faults.get(fault).findings).toHaveLength(2)
    expect((await again.get(`/faults/${fault}/next`)).location).toContain('/identity')
    expect((await again.get(`/faults/${fault}/resume`)).text).toMatch(/Time away/)
  })
})

describe('a unit changed', () => {
  async function atModule() {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    await wren.post(`/faults/${fault}/departures`, {
      from: 'dead#supply',
      to: 'dead#telltale',
      reason: 'seen from the gate',
    })
    await find(wren, fault, 'telltale', '=dark')
    await identify(wren, fault)
    return { site, wren, fault }
  }
  const swap = {
    action: 'unit replaced',
    words: 'module dead',
    kind: 'transmitter module',
    serialOut: 'T100',
    serialIn: 'T200',
    variantIn: 'N1',
    asFound0: 'A',
    asLeft0: 'A',
  }

  it('refuses a variant that does not fit, and only an engineer can override it with a reason', async () => {
    const { site, wren, fault } = await atModule()
    const wrong = { ...swap, variantIn: 'R1' }
    const refused = await wren.post(`/faults/${fault}/repairs`, wrong)
    expect(refused.status).toBe(400)
    expect(refused.text).toContain('only for positions where direction is opposite')
    const own = { ...wrong, overrideName: people.wren.name, overridePin: pin, overrideReason: 'it will do' }
    expect((await wren.post(`/faults/${fault}/repairs`, own)).status).toBe(400)
    const byEngineer = {
      ...wrong,
      overrideName: people.isla.name,
      overridePin: pin,
      overrideReason: 'trial agreed',
    }
    expect((await wren.post(`/faults/${fault}/repairs`, byEngineer)).status).toBe(303)
    const [repair] = site.deps.storage.faults.get(fault).repairs
    expect(repair?.swap?.override).toMatchObject({ byName: 'Isla Verrin', reason: 'trial agreed' })
  })

  it('asks about each difference from the record before anything is written, and records what was said', async () => {
    const { site, wren, fault } = await atModule()
    const typed = { ...swap, serialOut: 'T101', asLeft0: 'B' }
    const asked = await wren.post(`/faults/${fault}/repairs`, typed)
    expect(asked.status).toBe(400)
    expect(asked.text).toContain('The transmitter module on record here is T100. You read T101.')
    expect(asked.text).toContain('the old unit had A, the new one is left at B')
    expect(site.deps.storage.faults.get(fault).repairs).toEqual([])
    const boxes = [...asked.html.matchAll(/name="(sure [^"]+)"/g)].map(([, name = '']) => [name, 'yes'])
    expect(boxes).toHaveLength(2)
    const oneOnly = await wren.post(`/faults/${fault}/repairs`, {
      ...typed,
      ...Object.fromEntries(boxes.slice(1)),
    })
    expect(oneOnly.status).toBe(400)
    const other = { ...typed, serialOut: 'T102', ...Object.fromEntries(boxes) }
    expect((await wren.post(`/faults/${fault}/repairs`, other)).text).toContain('You read T102')
    const sure = await wren.post(`/faults/${fault}/repairs`, { ...typed, ...Object.fromEntries(boxes) })
    expect(sure.status).toBe(303)
    expect((await wren.get(`/faults/${fault}/record`)).text).toContain('You read T101.')
  })

  it('does not take the unit taken out for the one that goes in', async () => {
    const { wren, fault } = await atModule()
    const same = await wren.post(`/faults/${fault}/repairs`, { ...swap, serialIn: ' t100' })
    expect(same.status).toBe(400)
    expect(same.text).toContain('This is the number of the unit taken out.')
    expect(same.html).toContain('name="serialOut"')
  })

  it('wants the settings of both units before power goes on', async () => {
    const { wren, fault } = await atModule()
    const refused = await wren.post(`/faults/${fault}/repairs`, { ...swap, asLeft0: '' })
    expect(refused.text).toContain('Read this setting off both units before power goes on')
  })

  it('moves the fittings, and shows the unit in the history of both', async () => {
    const { site, wren, fault } = await atModule()
    await wren.post(`/faults/${fault}/repairs`, swap)
    const fitted = site.deps.storage.positions.get('up').fitted
    expect(fitted.map(unit => unit.serial)).toEqual(['T200'])
    const page = await wren.get('/positions/up')
    expect(page.text).toContain('T100')
    expect(page.text).toContain('T200')
  })

  it('does not take “reset” for a repair that proves a cause', async () => {
    const { wren, fault } = await atModule()
    await wren.post(`/faults/${fault}/repairs`, { action: 'reset', words: 'switched off and on' })
    await prove(wren, fault, 'telltale', '=lit')
    await wren.post(`/faults/${fault}/proof/symptom`, { word: 'gone' })
    const refused = await close(wren, fault, people.wren.name, { outcome: 'proven cause' })
    expect(refused.text).toContain('A reset is no repair')
  })
})

describe('handing over', () => {
  it('builds the handover from the record, and the incoming person confirms item by item', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const moss = await site.as('moss')
    const fault = await report(wren)
    await attend(wren, fault)
    await find(wren, fault, 'supply', '110')
    await identify(wren, fault)
    await find(wren, fault, 'loop-resistance', '1.1')
    const id = randomUUID()
    await wren.post(`/faults/${fault}/handovers`, {
      id,
      nextStep: 'measure the insulation',
      words: 'ground is soaked',
    })
    const at = `/faults/${fault}/handovers/${id}`
    const page = await moss.get(at)
    expect(page.text).toContain('measure the insulation')
    expect(page.text).toContain('wire at L1')
    expect((await wren.post(`${at}/confirmations`, { key: 'next' })).status).toBe(403)
    const accept = { spokenTo: 'signaller', protection: 'line blocked', isolation: 'nothing' }
    expect((await moss.post(`${at}/acceptance`, accept)).status).toBe(409)
    const keys = [...page.html.matchAll(/name="key" value="([^"]+)"/g)].map(match => match[1] ?? '')
    expect(keys.length).toBeGreaterThan(2)
    for (const key of keys) await moss.post(`${at}/confirmations`, { key })
    expect((await moss.post(`${at}/acceptance`, accept)).location).toBe(`/faults/${fault}/resume`)
    expect((await find(wren, fault, 'loop-insulation', '20M', { row: 'in range' })).status).toBe(409)
    await identify(moss, fault)
    expect((await find(moss, fault, 'loop-insulation', '20M', { row: 'in range' })).status).toBe(303)
  })

  it('lets another take over without a handover only with a reason, which stands in the record', async () => {
    const site = await makeSite()
    const wren = await site.as('wren')
    const moss = await site.as('moss')
    const fault = await report(wren)
    await attend(wren, fault)
    expect((await attend(moss, fault)).text).toContain('Say why you take the fault over')
    expect((await attend(moss, fault, { reason: 'called away ill' })).status).toBe(303)
    const first = site.deps.storage.faults.get(fault).attendances[0]
    expect(first).toMatchObject({ endedHow: 'taken over', endedWords: 'called away ill' })
  })
})

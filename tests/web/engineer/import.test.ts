import { beforeEach, describe, expect, it } from 'vitest'
import { type Given, workbook } from '../../exchange/workbook.ts'
import { makeSite, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'

// Files as depots really have them, brought in through the pages. Names and numbers are made up.

let site: Site
let isla: Visitor
beforeEach(async () => {
  site = await makeSite({ env: { TIME_ZONE: 'Europe/London' } })
  isla = await site.as('isla')
})

async function send(subject: string, file: Buffer | string, name = 'depot.csv', visitor = isla) {
  const response = await visitor.agent
    .post('/import')
    .set('Sec-Fetch-Site', 'same-origin')
    .field('subject', subject)
    .attach('file', Buffer.from(file), name)
  return { status: response.status, at: response.headers.location ?? '', html: response.text ?? '' }
}

/** The form of a page as it stands, with the choices it shows as chosen. */
function formOf(html: string, action: string): Record<string, string> {
  const form = html.split('<form').find(part => part.includes(`action="${action}"`)) ?? ''
  const fields: Record<string, string> = {}
  for (const [, name = '', body = ''] of form.matchAll(
    /<select[^>]*name="([^"]+)"[^>]*>([\s\S]*?)<\/select>/g,
  ))
    fields[name] = /value="([^"]*)"\s+selected/.exec(body)?.[1] ?? ''
  for (const [, name = '', value = ''] of form.matchAll(
    /type="radio"\s+name="([^"]+)"\s+value="([^"]*)"[^>]*\schecked/g,
  ))
    fields[name] = value
  return fields
}

/** Goes through the pages with what they guess, and `more`; gives the try-out. */
async function tryOut(
  subject: string,
  file: Buffer | string,
  more: Record<string, string> = {},
  name?: string,
) {
  const { at } = await send(subject, file, name)
  const columns = await isla.get(at)
  const next = await isla.post(`${at}/columns`, { ...formOf(columns.html, `${at}/columns`), ...more })
  if (next.status !== 303) return { at, page: next }
  if (!next.location.endsWith('/words')) return { at, page: await isla.get(next.location) }
  const words = await isla.get(next.location)
  const answered = await isla.post(`${at}/check`, { ...formOf(words.html, `${at}/check`), ...more })
  return { at, page: await isla.get(answered.location) }
}
const load = async (at: string, more: Record<string, string> = {}) =>
  isla.open((await isla.post(`${at}/load`, more)).location)
const named = (name: string) => site.deps.storage.sites.list({ search: name })[0]
const withPlate = (plate: string) => site.deps.storage.positions.search(plate, 1)[0]

describe('sites', () => {
  const file =
    'Location;Mileage;Access point\r\nÄckerhalt;0,12;"Gate, then\r\nsteps"\r\nWENDLE HALT;;Lane gate\r\n'

  it('come in with a byte mark, semicolons and line breaks in cells, after a look at what they would do', async () => {
    const { at, page } = await tryOut('sites', `\ufeff${file}`)
    expect(page.text).toMatch(/1 new 1 changed 0 the same/)
    expect(page.text).toContain('access: Gate by the lane → Lane gate')
    expect(named('Äckerhalt')).toBeUndefined()
    const done = await load(at)
    expect(done.text).toContain('Brought in: sites')
    expect(named('Äckerhalt')).toMatchObject({ mileage: '0,12', access: 'Gate, then\nsteps' })
    expect(named('Wendle')).toMatchObject({ mileage: '12 m 40 ch', access: 'Lane gate' })
  })

  it('come in twice and are the same the second time', async () => {
    await load((await tryOut('sites', file)).at)
    const again = await tryOut('sites', file)
    expect(again.page.text).toMatch(/0 new 0 changed 2 the same/)
    expect(again.page.text).toContain('There is nothing to bring in')
  })

  it('in UTF-16 and Windows-1252 are the same sites', async () => {
    await load((await tryOut('sites', file)).at)
    const wide = Buffer.concat([Buffer.from([0xff, 0xfe]), Buffer.from(file, 'utf16le')])
    for (const other of [wide, Buffer.from(file, 'latin1')])
      expect((await tryOut('sites', other)).page.text).toMatch(/0 new 0 changed 2 the same/)
  })
})

describe('positions', () => {
  const header = [
    'Plate',
    'Site',
    'Name',
    'Type',
    'Indicated',
    'Date installed',
    'Direction',
    'Cable length (m)',
  ]
  const rows: Given[][] = [
    header,
    ['WH-4-U', 'Wendle Halt', 'Train stop, up', 'Small transmitter', 'Y', { serial: 43831 }, 'NORMAL', 85.5],
    ['wh-3-d', 'Wendle Halt', 'Overspeed loops, down', 'small-transmitter', '', null, '', 120],
  ]

  it('come in from a workbook with their facts, dates and yes or no', async () => {
    const { at, page } = await tryOut('positions', workbook(rows), {}, 'depot.xlsx')
    expect(page.text).toMatch(/1 new 0 changed 1 the same .*0 bad/)
    await load(at)
    // 43831 days after 30 December 1899 is 1 January 2020 (computed).
    expect(withPlate('WH-4-U')).toMatchObject({
      ...{ indicated: true, inService: '2020-01-01T00:00:00.000Z', equipment: 'small-transmitter' },
      facts: { direction: 'normal', 'cable length': '85.5' },
    })
  })

  it('read a decimal comma, where asked to', async () => {
    const csv = `${header.join(';')}\nWH-5-U;Wendle Halt;A;Small transmitter;no;01.02.2020;opposite;"85,5"\n`
    const { at } = await tryOut('positions', csv, { decimalMark: 'comma', dateOrder: 'day first' })
    await load(at)
    expect(withPlate('WH-5-U')).toMatchObject({
      ...{ indicated: false, inService: '2020-02-01T00:00:00.000Z' },
      facts: { 'cable length': '85.5' },
    })
  })

  it('that are bad are each named with the reason, and keep the whole file out unless left out', async () => {
    const bad = [
      ['X1', 'Nowhere', 'A', 'Small transmitter', 'yes', '2020-01-01', '', ''],
      ['X2', 'Wendle Halt', 'B', 'Big transmitter', 'yes', '2020-01-01', '', ''],
      ['X3', 'Wendle Halt', 'C', 'Small transmitter', 'perhaps', '2020-01-01', 'sideways', 'long'],
      ['X4', 'Wendle Halt', 'Overspeed loops, up', 'Small transmitter', 'yes', '2020-01-01', '', ''],
      ['X5', 'Wendle Halt', 'D', 'Small transmitter', 'yes', '2020-02-30', '', ''],
      ['X6', 'Wendle Halt', 'E', 'Small transmitter', 'yes', '2099-01-01', '', ''],
      ['X7', 'Wendle Halt', 'F', 'Small transmitter', '', '2020-01-01', '', ''],
      ['X8', 'Wendle Halt', '=1+1', 'Small transmitter', 'yes', '2020-01-01', '', ''],
      ['X9', 'Wendle Halt', 'G', 'Small transmitter', 'yes', '2020-01-01', '', ''],
      ['X9', 'Wendle Halt', 'H', 'Small transmitter', 'yes', '2020-01-01', '', ''],
    ]
    const csv = [header, ...bad].map(row => row.join('\t')).join('\n')
    const { at, page } = await tryOut('positions', csv)
    for (const reason of [
      ...[
        'no site “Nowhere” on record',
        'know no “Big transmitter”',
        'neither yes nor no',
        'not one of normal, opposite',
      ],
      ...['no number in m', 'is called “Overspeed loops, up”', 'there is no such day', 'still to come'],
      ...['say yes or no for a new position', 'begins like a formula', 'Line 10 says otherwise of the same'],
    ])
      expect(page.text).toContain(reason)
    expect(page.text).toMatch(/1 new 0 changed 0 the same .*9 bad/)
    const refused = await isla.post(`${at}/load`, {})
    expect(refused.status).toBe(409)
    expect(withPlate('X9')).toBeUndefined()
    expect((await load(at, { leaveOut: 'yes' })).text).toContain('9 left out as bad')
    expect(withPlate('X9')?.name).toBe('G')
    expect(withPlate('X4')).toBeUndefined()
  })
})

describe('units', () => {
  it('come in with leading zeros, fitted where they are, and twice without harm', async () => {
    const csv =
      'Unit type,S/N,Model,Plate,Date fitted\nTransmitter module,000123,n1,WH-3-D,2024-02-01\npower module,0007,P1,,\n'
    const { at } = await tryOut('units', csv)
    await load(at)
    const unit = site.deps.storage.units.findBySerial('transmitter module', '000123')
    expect(unit?.variant).toBe('N1')
    expect(withPlate('WH-3-D')?.fitted.map(one => one.serial)).toEqual(['000123'])
    expect((await tryOut('units', csv)).page.text).toMatch(/0 new 0 changed 2 the same/)
  })

  it('on record elsewhere, or where another is fitted, are bad rows', async () => {
    const csv =
      'Unit type,S/N,Model,Plate,Date fitted\ntransmitter module,T100,N1,WH-3-D,2024-02-01\ntransmitter module,T200,N1,WH-3-U,2024-02-01\n'
    const { page } = await tryOut('units', csv)
    expect(page.text).toContain('on record as fitted at Wendle Halt, Overspeed loops, up')
    expect(page.text).toContain('T100 is on record as fitted there')
  })
})

describe('past faults', () => {
  const csv = [
    'Fault no,Plate,Date reported,Time,Fault,Cause,Action taken,Date closed',
    '0001,WH-3-U,13/07/2025,14:30,Telltale dark,Supply fuse blown,"Fuse, same rating",13/07/2025 18:00',
    '0002,WH-3-U,05/08/2025,02:10,telltale DARK.,rat nest,"=cleaned"'.replace('=cleaned', 'cleaned'),
    '0003,WH-3-D,05/11/2025,00:10,Telltale dark,NFF,,06/11/2025',
  ].join('\n')

  it('stand among the others and count with them, marked as what they are', async () => {
    const { at, page } = await tryOut('past faults', csv)
    expect(page.text).toMatch(/3 new 0 changed 0 the same .*0 bad/)
    await load(at)
    const { faults, pastFaults } = site.deps.storage
    const up = faults.listByPosition('up')
    expect(up.map(one => [one.reportedAt, one.outcome, one.cause, one.minutes, one.people])).toEqual([
      ['2025-08-05T01:10:00.000Z', 'not recorded', null, 0, []],
      ['2025-07-13T13:30:00.000Z', 'probable cause', 'small-transmitter/supply-fuse-blown', 0, []],
    ])
    expect(up[0]?.earlierInWindow).toBe(1)
    expect(faults.listByPosition('down')[0]).toMatchObject({
      outcome: 'not reproduced',
      closedAt: '2025-11-06T00:00:00.000Z',
    })
    expect(pastFaults.list('small-transmitter').map(one => one.cause)).toEqual([
      'small-transmitter/supply-fuse-blown',
      null,
      null,
    ])
    expect([faults.listOpen(), faults.listUnsettled()]).toEqual([[], []])
    const record = await isla.get(`/faults/${up[0]?.id}/record`)
    expect(record.status).toBe(200)
    expect(record.text).toContain(
      'From depot.csv, line 3. Cause in the file: rat nest. When it was put right is not recorded.',
    )
    expect((await isla.get(`/faults/${up[0]?.id}`)).status).toBe(200)
  })

  it('are known again by their reference, and what is on record is not changed', async () => {
    await load((await tryOut('past faults', csv)).at)
    expect((await tryOut('past faults', csv)).page.text).toMatch(/0 new 0 changed 3 the same .*0 bad/)
    const other = await tryOut('past faults', csv.replace('13/07/2025 18:00', '13/07/2025 19:00'))
    expect(other.page.text).toContain('says otherwise there; what is on record is not changed')
  })

  it('without a reference are known again by plate, moment and symptom', async () => {
    const bare = csv.replaceAll(/^(Fault no|\d{4}),/gm, '')
    await load((await tryOut('past faults', bare)).at)
    expect((await tryOut('past faults', bare)).page.text).toMatch(/0 new 0 changed 3 the same .*0 bad/)
    expect(site.deps.storage.faults.listRecent(10)).toHaveLength(3)
  })

  it('want to be told which comes first, day or month, where the dates do not say', async () => {
    const doubtful = 'Plate,Date,Fault\nWH-3-U,03/04/2025,Telltale dark\n'
    const asked = await tryOut('past faults', doubtful)
    expect(asked.page.status).toBe(400)
    expect(asked.page.text).toContain('Say which comes first in “03/04/2025”')
    const { at } = await tryOut('past faults', doubtful, { dateOrder: 'month first' })
    await load(at)
    // Midnight of London's own clock: on 4 March it is UTC.
    expect(site.deps.storage.faults.listByPosition('up')[0]?.reportedAt).toBe('2025-03-04T00:00:00.000Z')
  })

  it('with impossible times or a symptom nobody matched are bad rows', async () => {
    const bad =
      'Plate,Date,Fault,Date closed\nWH-3-U,2025-05-02,Telltale dark,2025-05-01\nWH-3-U,2025-05-02,gremlins,\nZZ,2025-05-02,Telltale dark,\n'
    const { page } = await tryOut('past faults', bad)
    expect(page.text).toContain('put right before it was reported')
    expect(page.text).toContain('no fault tree was chosen for “gremlins”')
    expect(page.text).toContain('no position “ZZ” on record')
  })
})

describe('files that nobody shaped for it', () => {
  it('have refused rows grouped by why, and taken out with their line and reason', async () => {
    const rows = ['A1', 'A2', 'A3'].map(
      (plate, n) => `${plate};Nowhere ${n};Up;Small transmitter;yes;2020-01-01`,
    )
    const head = 'Plate;Site;Name;Equipment;Failure shown;In service since'
    const good = 'A4;Wendle Halt;Fourth;Small transmitter;yes;2020-01-01'
    const { at, page } = await tryOut('positions', [head, ...rows, good, ''].join('\n'))
    expect(page.text).toContain('3 refused, for 1 reason')
    expect(page.text).toContain('no site “…” on record')
    expect(page.text).toContain('“Nowhere 0”, “Nowhere 1”, “Nowhere 2”')
    expect(page.text).toContain('A4 · Wendle Halt · Fourth · Small transmitter')
    const taken = (await isla.get(`${at}/refused`)).html
    expect(taken.split('\r\n')).toHaveLength(5)
    expect(taken).toContain(
      '2,Site: there is no site “Nowhere 0” on record. Bring the sites in first.,A1,Nowhere 0',
    )
  })

  it('may lack columns that are the same for every row', async () => {
    const file = 'Plate;Name\nB1;First\nB2;Second\n'
    const fields = (await isla.get((await send('positions', file)).at)).html
    const idOf = (label: string) =>
      new RegExp(`for="(fixed\\d+)">\\s*<span class="for-the-ear">${label}`).exec(fields)?.[1] ?? ''
    const fixed = {
      [idOf('Site')]: 'Wendle Halt',
      [idOf('Equipment')]: 'small transmitter',
      [idOf('Failure shown')]: 'yes',
      [idOf('In service since')]: '2019-04-01',
    }
    const { at, page } = await tryOut('positions', file, fixed)
    expect(page.text).toMatch(/2 new 0 changed/)
    await load(at)
    expect(withPlate('B2')).toMatchObject({ siteName: 'Wendle Halt', indicated: true })
  })

  it('are remembered by their shape: columns, what is the same in every row, and what words mean', async () => {
    const file = (day: string) => `Where;When;What went on\nWH-3-U;${day} 10:00;gremlins\n`
    const html = (await isla.get((await send('past faults', file('2021-01-31'))).at)).html
    const symptom = /for="(column\d+)">\s*Symptom/.exec(html)?.[1] ?? ''
    const first = await tryOut('past faults', file('2021-01-31'), { [symptom]: '2', symptom0: 'dead' })
    expect(first.page.text).toMatch(/1 new/)
    await load(first.at)
    const { at } = await send('past faults', file('2021-03-31'))
    expect((await isla.get(at)).text).toContain('A file of this shape was brought in before')
    await isla.post(`${at}/columns`, formOf((await isla.get(at)).html, `${at}/columns`))
    expect(formOf((await isla.get(`${at}/words`)).html, `${at}/check`).symptom0).toBe('dead')
  })

  it('have columns known by what stands below them, whatever they are called', async () => {
    const file =
      'Gefunden;Wo;Seit;Bis\nLoops dead;WH-3-U;2021-01-31 10:00;2021-01-31 12:00\nLoops dead;WH-3-D;2021-02-28 10:00;2021-02-28 11:00\n'
    const { at } = await send('past faults', file)
    const chosen = formOf((await isla.get(at)).html, `${at}/columns`)
    const fields = (await isla.get(at)).html
    const columnOf = (label: string) =>
      chosen[new RegExp(`for="(column\\d+)">\\s*${label}\\s*<`).exec(fields)?.[1] ?? '']
    expect([columnOf('Plate'), columnOf('Reported')]).toEqual(['1', '2'])
  })

  it('may have a title above the names of the columns and a total below', async () => {
    const { at, page } = await tryOut(
      'sites',
      'Sites of the depot;;\nSite;Line;Mileage\nAck;Shore;1\nBrack;Shore;2\nTotal: 2;;\n',
    )
    expect((await isla.get(at)).text).toContain('line 1: “Sites of the depot”; line 5: “Total: 2”')
    expect(page.text).toMatch(/2 new/)
    const form = { headerLine: '2', wholeEnd: 'yes', encoding: 'utf-8', delimiter: ';' }
    expect((await isla.post(`${at}/reading`, form)).status).toBe(303)
    expect((await isla.get(at)).text).not.toContain('line 5')
  })
})

describe('hostile and broken uploads', () => {
  it.each([
    ['nothing', ''],
    ['macros in a workbook', workbook([['name'], ['x']], { 'xl/vbaProject.bin': 'x' })],
    ['a quote that never closes', 'name\n"x\n'],
    ['an image', Buffer.from([0x89, 0x50, 0x4e, 0x47, 0, 0, 0, 0, 1, 2, 3])],
    ['a file too large', Buffer.alloc(5_000_001, 'a')],
  ])('%s is refused on the same page, and nothing is kept', async (_, file) => {
    const answer = await send('sites', file)
    expect(answer.status).toBe(400)
    expect(answer.html).toContain('field-error')
    expect(site.deps.storage.imports.list(10)).toEqual([])
  })

  it('a form that is no file form, or without a subject, is asked again', async () => {
    expect((await isla.post('/import', { subject: 'sites' })).text).toContain('Choose a file')
    expect((await send('everything', 'name\nx\n')).status).toBe(400)
  })

  it('markup in cells stays text on every page', async () => {
    const { at, page } = await tryOut(
      'sites',
      'name,access\n<script>alert(1)</script>,<img src=x onerror=alert(2)>\n',
    )
    expect(page.html).not.toContain('<script>alert')
    expect((await isla.get(at)).html).not.toContain('<img src=x')
  })

  it('a file belongs to whoever sent it, and is for engineers', async () => {
    const { at } = await send('sites', 'name\nx\n')
    const wren = await site.as('wren')
    expect((await wren.get(at)).status).toBe(403)
    expect((await send('sites', 'name\nx\n', 'x.csv', wren)).status).toBe(403)
    site.pass(61)
    expect((await (await site.as('isla')).get(at)).status).toBe(404)
  })

  it('the load sent twice brings it in once', async () => {
    const { at } = await tryOut('sites', 'name\nNewhalt\n')
    const form = { id: '4b0c8f7e-6d55-4a7e-9d5c-0d6a4f0f2f11' }
    const first = await isla.post(`${at}/load`, form)
    const second = await isla.post(`${at}/load`, form)
    expect([first.status, second.status, second.location]).toEqual([303, 303, `/import/${form.id}`])
    expect(site.deps.storage.imports.list(10)).toHaveLength(1)
  })
})

describe('how cold each day was', () => {
  const file = 'Datum;Tmin;Tmax\r\n05.01.2026;−4,2;1,5\r\n06.01.2026;-1 °C;3\r\n'
  const columns = { column0: '0' }

  it('comes in with commas, true minus signs and units, and twice is the same', async () => {
    const { at, page } = await tryOut('temperatures', file, { ...columns, dateOrder: 'day first' })
    expect(page.text).toMatch(/2 new 0 changed/)
    await load(at)
    expect(site.deps.storage.history.dailyTemperatures()).toEqual([
      { day: '2026-01-05', lowest: -4.2, highest: 1.5 },
      { day: '2026-01-06', lowest: -1, highest: 3 },
    ])
    const again = await tryOut('temperatures', file, { ...columns, dateOrder: 'day first' })
    expect(again.page.text).toMatch(/0 new 0 changed 2 the same/)
  })

  it('names rows that cannot be, and days on record that it says otherwise of', async () => {
    const first = await tryOut('temperatures', 'day,min,max\n2026-01-05,-4,1\n')
    await load(first.at)
    const bad =
      'day,min,max\n2026-01-05,-3,1\n2026-01-06,5,2\n2026-01-07,cold,2\n2026-01-08,-95,2\n2026-12-24,1,2\n2026-01-09,1,\n'
    const { page } = await tryOut('temperatures', bad)
    for (const why of [
      '2026-01-05 is on record with -4 to 1 °C',
      'Its lowest, 5 °C, is above its highest, 2 °C',
      '“cold” is no number of °C',
      '-95 °C is no temperature of the air',
      'Day: that is still to come',
      'Highest is empty',
    ])
      expect(page.text).toContain(why)
    expect(page.text).toMatch(/0 new 0 changed 0 the same .* 6 bad/)
  })
})

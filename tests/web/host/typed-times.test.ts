// Each field for a day or a time, of each form, with what nobody can have meant: a question at the field, and nothing kept.

import { randomUUID } from 'node:crypto'
import { globSync, readFileSync } from 'node:fs'
import { expect, it } from 'vitest'
import { makeSite, people, type Site } from '../../support/site.ts'
import type { Page, Visitor } from '../../support/visitor.ts'
import { attend, report } from '../../support/walking.ts'

interface Field {
  view: string
  name: string
  kind: 'date' | 'datetime-local'
  /** Right by the clock of the test, 2 November 2026. */
  right: string
  /** What is said of a time before and after all sense. */
  early: RegExp
  late: RegExp
  /** A field of an address: what cannot be is shown beside it, and the page is drawn all the same. */
  asked?: true
  send(site: Site, value: string): Promise<Page>
}

const from1990 = /Give a day from 1990 on/
const tenYears = /more than ten years ahead/
const toCome = /still to come/
const agreed = { early: /That is past/, late: /more than a month ahead/, right: '2026-11-02T05:30' }
const day = { kind: 'date', early: from1990 } as const

const review = { why: 'third in a year', owner: 'isla', cause: '', action: 'remake it' }
const attended = { protection: 'line blocked', isolation: 'nothing', spokenTo: 'signaller' }
const meter = () => ({
  ...{
    kind: 'multimeter',
    serial: randomUUID().slice(0, 8),
    unit0: 'V AC',
    range0: '600',
    percent0: '1',
    counts0: '3',
  },
  ...{ resolution0: '0.1', method0: 'direct' },
})

const fields: Field[] = [
  {
    ...{ view: 'technician/report/fault-new', name: 'reportedAt', kind: 'datetime-local' },
    ...{ right: '2026-11-01T22:15', early: from1990, late: /not later than now/ },
    send: async (site, reportedAt) =>
      (await site.as('wren')).post('/faults', {
        ...{ position: 'up', tree: 'dead', noticed: 'dark', reportedBy: 'signaller', protection: 'kept' },
        reportedAt,
      }),
  },
  {
    ...{ view: 'technician/close/closure', name: 'toldAt', kind: 'datetime-local' },
    ...{ right: '2026-11-01T22:15', early: from1990, late: /not later than now/ },
    async send(site, toldAt) {
      const wren = await site.as('wren')
      const fault = await report(wren)
      await attend(wren, fault)
      const closing = { outcome: 'passed on', changed: 'nothing', words: 'as found', toldWho: 'signaller' }
      const signed = { printedName: people.wren.name, signatureId: randomUUID() }
      return wren.post(`/faults/${fault}/closure`, { ...closing, ...signed, toldAt })
    },
  },
  {
    ...{ view: 'partials/before-start', name: 'finish', kind: 'datetime-local', ...agreed },
    async send(site, finish) {
      const wren = await site.as('wren')
      return attend(wren, await report(wren), { finish })
    },
  },
  {
    ...{ view: 'partials/before-start', name: 'finish', kind: 'datetime-local', ...agreed },
    send: async (site, finish) =>
      (await site.as('moss')).post(`${await handedOver(site)}/acceptance`, { ...attended, finish }),
  },
  {
    ...{
      view: 'engineer/review/parts/review-fields',
      name: 'due',
      ...day,
      right: '2027-02-01',
      late: tenYears,
    },
    send: async (site, due) =>
      (await site.as('isla')).post('/review/positions/up/reviews', { ...review, due }),
  },
  {
    ...{
      view: 'engineer/review/parts/review-fields',
      name: 'doneOn',
      ...day,
      right: '2026-11-01',
      late: toCome,
    },
    async send(site, doneOn) {
      const isla = await site.as('isla')
      const opened = await isla.post('/review/positions/up/reviews', review)
      return isla.post(`${opened.location}/entries`, { ...review, doneOn })
    },
  },
  {
    ...{ view: 'engineer/railway/instruments', name: 'due', ...day, right: '2027-03-31', late: tenYears },
    send: async (site, due) =>
      (await site.as('isla')).post('/instruments/register', { ...meter(), calibrationId: randomUUID(), due }),
  },
  {
    ...{ view: 'engineer/railway/instrument', name: 'due', ...day, right: '2028-03-31', late: tenYears },
    async send(site, due) {
      const isla = await site.as('isla')
      const first = { ...meter(), calibrationId: randomUUID(), due: '2027-03-31' }
      return isla.post(`${(await isla.post('/instruments/register', first)).location}/calibrations`, { due })
    },
  },
  ...(['from', 'to'] as const).map(
    (name): Field => ({
      ...{ view: 'engineer/review/parts/top', name, ...day, right: '2026-10-01', late: toCome, asked: true },
      send: async (site, value) =>
        (await site.as('isla')).get(`/review?${name}=${encodeURIComponent(value)}`),
    }),
  ),
  ...(['from', 'to'] as const).map(
    (name): Field => ({
      ...{
        view: 'engineer/faults/filter-days',
        name,
        ...day,
        right: '2026-10-01',
        late: toCome,
        asked: true,
      },
      send: async (site, value) =>
        (await site.as('isla')).get(`/review/faults?${name}=${encodeURIComponent(value)}`),
    }),
  ),
  ...(['since', 'until'] as const).map(
    (name): Field => ({
      ...{ view: 'engineer/review/known', name, ...day, right: '2026-10-01', late: toCome },
      async send(site, value) {
        await report(await site.as('wren'))
        const said = { of: 'faults here', since: '2026-09-01', words: 'The books were whole.' }
        return (await site.as('isla')).post('/review/known', { ...said, [name]: value })
      },
    }),
  ),
  {
    ...{ view: 'engineer/review/unit', name: 'at', kind: 'datetime-local' },
    ...{ right: '2026-10-01T10:00', early: from1990, late: /not later than now/ },
    async send(site, at) {
      const id = randomUUID()
      const spare = { id, kind: 'transmitter module', serial: id, variant: 'normal' }
      site.deps.storage.units.create(spare)
      return (await site.as('isla')).post(`/review/units/${id}/changes`, { why: 'kept as a spare', at })
    },
  },
  {
    ...{ view: 'technician/actions/action', name: 'doneOn', ...day, right: '2026-11-01', late: toCome },
    async send(site, doneOn) {
      const isla = await site.as('isla')
      const { location } = await isla.post('/review/positions/up/reviews', review)
      return isla.post(`${location.replace('/review/reviews/', '/actions/')}/done`, {
        result: 'remade',
        doneOn,
      })
    },
  },
]

async function handedOver(site: Site): Promise<string> {
  const wren = await site.as('wren')
  const fault = await report(wren)
  await attend(wren, fault)
  const { location } = await wren.post(`/faults/${fault}/handovers`, {
    nextStep: 'go on',
    words: 'end of shift',
  })
  const moss: Visitor = await site.as('moss')
  const { html } = await moss.get(location)
  for (const [, key = ''] of html.matchAll(/name="key" value="([^"]+)"/g))
    await moss.post(`${location}/confirmations`, { key })
  return location
}

/** The error beside the field, in words. */
function errorAt({ html }: Page, name: string): string {
  const [, error = ''] = new RegExp(`id="${name}-error"[^>]*>([\\s\\S]*?)</p>`).exec(html) ?? []
  return error
    .replace(/<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ')
    .trim()
}

const time = { date: '', 'datetime-local': 'T02:00' }
const nonsense = ['yesterday', '2026-02-30', '2026-13-01', '26-11-27', '2026-11-27T99:99', '<b>']

it.each(fields)('$view: $name', async ({ name, kind, right, early, late, asked, send }) => {
  const site = await makeSite({ env: { TIME_ZONE: 'Europe/London', RATE_PER_MINUTE: '0' } })
  const tries: [string, RegExp][] = [
    [`0026-11-27${time[kind]}`, early],
    [`1989-12-31${time[kind]}`, early],
    [`2037-11-04${time[kind]}`, late],
    [`9999-12-31${time[kind]}`, late],
    ...nonsense.map((text): [string, RegExp] => [text, /^Error: Give (the day as|a day and a time)/]),
  ]
  for (const [value, words] of tries) {
    const page = await send(site, value)
    expect(page.status, value).toBe(asked ? 200 : 400)
    expect(errorAt(page, name), value).toMatch(words)
  }
  const taken = await send(site, right)
  expect(taken.status).toBe(asked ? 200 : 303)
  expect(errorAt(taken, name)).toBe('')
})

it('has a case for each field of a form that takes a day or a time', () => {
  const found = globSync('views/**/*.ejs').flatMap(file => {
    const text = readFileSync(file, 'utf8')
    if (file.endsWith('partials/field.ejs') || file.includes('/look')) return []
    return [...text.matchAll(/name: '(\w+)',[^}]*?type: '(date|datetime-local)'/g)].map(
      ([, name, kind]) => `${file.replace(/^views\/|\.ejs$/g, '')} ${name} ${kind}`,
    )
  })
  // What is said before a start is sent to attend and to take over: two cases of one field.
  const cases = new Set(fields.map(({ view, name, kind }) => `${view} ${name} ${kind}`))
  expect(found.sort()).toEqual([...cases].sort())
})

it('the window of a review: a first day after the last, and one day alone', async () => {
  const isla = await (await makeSite()).as('isla')
  for (const path of ['', '/causes', '/when', '/units', '/trends', '/unseen', '/reviews', '/ranking']) {
    const reversed = await isla.get(`/review${path}?from=2026-10-01&to=2026-09-01`)
    expect([path, reversed.status, errorAt(reversed, 'to')]).toEqual([
      path,
      200,
      expect.stringContaining('before the first day of the window'),
    ])
    for (const days of ['from=2026-10-01&to=2026-10-01', 'from=2026-11-02', 'from=1990-01-01&to=1990-01-01'])
      expect((await isla.get(`/review${path}?${days}`)).status, `${path} ${days}`).toBe(200)
  }
})

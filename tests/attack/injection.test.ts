import { randomUUID } from 'node:crypto'
import { beforeAll, describe, expect, it } from 'vitest'
import { people } from '../support/site.ts'
import type { Visitor } from '../support/visitor.ts'
import { attend, report } from '../support/walking.ts'
import { makeTarget, type Target } from './addresses.ts'
import { crawl, type FoundForm, formsOf } from './forms.ts'

// Every field of every form that a page of ours shows, found by walking the pages, filled with what would do harm if it
// were ever taken for anything but words.

const payloads: Record<string, string> = {
  markup: `"'><script>harm()</script><img src=x onerror=harm()>" onmouseover="harm()" x="`,
  'Markdown and templates':
    '[words](javascript:harm()) ![x](http://elsewhere.example/x.png) <iframe src=//e> <%= 7777*7777 %>{{7777*7777}}',
  'a query and a path': `'; DROP TABLE findings; -- ' OR '1'='1 ../../../../etc/passwd`,
  'a cell of a sheet': '=HYPERLINK("http://elsewhere.example","harm")',
  'a header and an early end': 'x\r\nSet-Cookie: fourfoot=harm\r\n\r\n<script>harm()</script>\u0000b',
  'a name every object has': '__proto__',
}

let target: Target
let wren: Visitor
let isla: Visitor
beforeAll(async () => {
  target = await makeTarget()
  wren = await target.site.as('wren')
  isla = await target.site.as('isla')
})

/** What a browser would run, or what a reader of the raw text would take for markup. */
function harmIn(html: string): string[] {
  const found = [
    /<script>harm/,
    /<img src=x/,
    /<iframe/,
    /\sonmouseover="harm/,
    /href="javascript:/,
    /src="http/,
    /root:x:0/,
  ]
  return [...found, /60481729/].filter(pattern => pattern.test(html)).map(String)
}

async function attack(visitor: Visitor, form: FoundForm, payload: string): Promise<void> {
  for (const field of Object.keys(form.fields)) {
    const sent = { ...form.fields, [field]: payload }
    if (field !== 'id' && 'id' in sent) sent.id = randomUUID()
    const page = await visitor.post(form.action, sent)
    expect(page.status, `${form.action} ${field}`).toBeLessThan(500)
    expect(harmIn(page.html), `${form.action} ${field}`).toEqual([])
    expect(page.location, `${form.action} ${field}`).toMatch(/^$|^\/(?![/\\])/)
  }
}

/** A sheet may hold any words, but no cell that a spreadsheet would work out. */
const harmInSheet = (text: string) =>
  /(^|[,;\n])"?[=+@]HYPERLINK/.test(text) ? ['a cell that is worked out'] : []
/** What is sent as data is not read as a page: the type says so, and browsers are told not to guess. */
function harmAt(address: string, text: string): string[] {
  if (/\.json(\?|$)/.test(address)) return []
  return /\.csv(\?|$)/.test(address) ? harmInSheet(text) : harmIn(text)
}

/** Forms on all pages, but those that end the visit or take the person's own rights. */
async function formsFor(visitor: Visitor, from: string[]): Promise<FoundForm[]> {
  const pages = await crawl(visitor, from)
  const forms = new Map<string, FoundForm>()
  for (const page of pages.values()) {
    expect(page.status).toBeLessThan(500)
    for (const form of formsOf(page)) forms.set(`${form.action} ${Object.keys(form.fields)}`, form)
  }
  return [...forms.values()].filter(({ action }) => action !== '/sign-out' && !action.startsWith('/people/'))
}

describe.each(Object.entries(payloads))('harm as %s', (_, payload) => {
  it('stays words in every field of a technician’s and an engineer’s forms, and on every page after', async () => {
    const fault = await report(wren, { position: 'down', noticed: payload, reportedBy: payload })
    await attend(wren, fault, { spokenTo: payload, protection: payload, isolation: payload })
    const pages = [
      'next',
      'record',
      'status',
      'put-back',
      'closure',
      'handovers/new',
      'departures/new',
      'proof',
    ]
    const forms = await formsFor(wren, [
      '/',
      '/positions/down',
      ...pages.map(page => `/faults/${fault}/${page}`),
    ])
    expect(forms.length).toBeGreaterThan(6)
    for (const form of forms) await attack(wren, form, payload)
    for (const form of await formsFor(isla, ['/', '/people', '/sites', `/faults/${fault}`])) {
      if (form.action !== '/sign-in') await attack(isla, form, payload)
    }
    // A file taken out is what was written, letter for letter; a browser saves it and never draws it.
    for (const visitor of [wren, isla])
      for (const [address, page] of await crawl(visitor, [
        '/',
        `/faults/${fault}`,
        `/faults/${fault}/record`,
        '/people',
      ]))
        if (!/\/(file|bundle)$/.test(address))
          expect([address, harmAt(address, page.html), page.status < 500]).toEqual([address, [], true])
  })

  it('stays words in every part of an address', async () => {
    const part = encodeURIComponent(payload)
    const query = ['search', 'return', 'position', 'to', 'row', 'action', 'kind']
      .map(name => `${name}=${part}`)
      .join('&')
    for (const address of [
      '/faults',
      '/positions',
      '/sites',
      '/knowledge',
      `/faults/${target.fault}/instrument/dead/supply`,
      '/assets',
      '/people',
    ]) {
      for (const asked of [`${address}/${part}`, `${address}?${query}`, `${address}?${part}=1`]) {
        const page = await wren.get(asked)
        expect([asked, harmIn(page.html), page.status < 500]).toEqual([asked, [], true])
        expect(page.location).toMatch(/^$|^\/(?![/\\])/)
      }
    }
  })

  it('signs nobody in', async () => {
    const nobody = target.site.visitor()
    for (const form of [
      { name: payload, pin: payload },
      { name: people.wren.name, pin: payload },
    ]) {
      const page = await nobody.post('/sign-in', { ...form, return: payload, 'kept-action': payload })
      expect([page.status, harmIn(page.html)]).toEqual([400, []])
    }
    expect((await nobody.get('/faults')).status).toBe(303)
  })
})

it('sends data as data, never as a page', async () => {
  for (const address of [...(await crawl(isla, ['/', '/open', '/sites'])).keys()].filter(one =>
    /\.(csv|json)(\?|$)/.test(one),
  )) {
    const { headers } = await isla.agent.get(address)
    expect(headers['content-type']).not.toContain('html')
    expect(headers['x-content-type-options']).toBe('nosniff')
  }
})

it('leaves the database whole after all of it', () => {
  const { storage } = target.site.deps
  expect(storage.faults.get(target.fault).findings.length).toBeGreaterThan(0)
  expect(storage.people.list().map(({ id }) => id)).toEqual(expect.arrayContaining(Object.keys(people)))
})

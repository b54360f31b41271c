import { beforeEach, describe, expect, it } from 'vitest'
import { verifyDatabase } from '../../../server/storage/safekeeping/verify.ts'
import { makeSite, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'
import { report } from '../../support/walking.ts'

let site: Site
let isla: Visitor
beforeEach(async () => {
  site = await makeSite()
  isla = await site.as('isla')
})

/** Brings a file in by what its pages guess; gives the import's address. */
async function bring(subject: string, text: string): Promise<string> {
  const sent = isla.agent.post('/import').set('Sec-Fetch-Site', 'same-origin').field('subject', subject)
  const { headers } = await sent.attach('file', Buffer.from(text), 'depot.csv')
  const at = headers.location ?? ''
  const selects = (html: string) =>
    Object.fromEntries(
      [...html.matchAll(/<select[^>]*name="([^"]+)"[^>]*>([\s\S]*?)<\/select>/g)].map(
        ([, name = '', body = '']) => [name, /value="([^"]*)"\s+selected/.exec(body)?.[1] ?? ''],
      ),
    )
  const columns = await isla.post(`${at}/columns`, {
    dateOrder: 'day first',
    ...selects((await isla.get(at)).html),
  })
  if (columns.location.endsWith('/words'))
    await isla.post(`${at}/check`, selects((await isla.get(columns.location)).html))
  return (await isla.post(`${at}/load`, {})).location
}

const undo = (at: string, why = 'the wrong file') => isla.post(`${at}/undoing`, { why })

/** All that is on record of places and units. */
const places = () =>
  [
    'sites',
    'positions',
    'position_facts',
    'units',
    'fittings',
    'faults',
    'closures',
    'daily_temperatures',
  ].map(table => JSON.stringify(site.db.prepare(`SELECT * FROM ${table} ORDER BY 1, 2`).all()))
const sound = () => expect(verifyDatabase(site.db).problems).toEqual([])

const files = {
  sites: 'Site;Line;Mileage\nAck;Shore;1\nWendle Halt;Hill line;2\n',
  positions:
    'Plate;Site;Name;Equipment;Failure shown;In service since;cable length\nQ1;Wendle Halt;Fourth;Small transmitter;yes;2020-01-31;70\nWH-3-U;Wendle Halt;Renamed;Small transmitter;no;;99\n',
  units: 'Kind;Serial;Variant;Plate;Fitted on\npower module;77;P1;WH-3-D;2021-01-31\n',
  'past faults':
    'Plate;Reported;Symptom;Put right;Temperature\nWH-3-U;2021-01-31 10:00;Loops dead;2021-01-31 12:00;3\nWH-3-U;2021-03-31 10:00;Loops dead;;\n',
  temperatures: 'Day;Lowest;Highest\n2021-01-30;-4;1\n2021-01-31;-3;2\n',
}

describe('an import that was wrong', () => {
  it.each(Object.entries(files))(
    'of %s is taken back whole, and the trail still fits',
    async (subject, file) => {
      const before = places()
      const at = await bring(subject, file)
      expect(places()).not.toEqual(before)
      const done = await isla.get(at)
      expect(done.text).toContain('Undo this import')
      expect((await undo(at)).status).toBe(303)
      expect(places()).toEqual(before)
      const { text } = await isla.get(at)
      expect(text).toMatch(/Undone by Isla Verrin.*the wrong file/)
      expect(text).not.toContain('Undo this import')
      expect((await isla.get('/import')).text).toContain(`${subject}: undone`)
      sound()
      await bring(subject, file)
      expect(places()).not.toEqual(before)
      sound()
    },
  )

  it('stays when something stands on it, and says so', async () => {
    const sites = await bring('sites', 'Site\nAck\n')
    await bring(
      'positions',
      'Plate;Site;Name;Equipment;Failure shown;In service since\nQ1;Ack;Up;Small transmitter;yes;2020-01-31\n',
    )
    const before = places()
    const refused = await undo(sites)
    expect([refused.status, refused.text]).toEqual([
      409,
      expect.stringContaining('Something stands on what it brought in'),
    ])
    expect(places()).toEqual(before)
    expect((await isla.get(sites)).text).toContain('Undo this import')
  })

  it('stays when a row was changed since', async () => {
    const at = await bring('sites', files.sites)
    await bring('sites', 'Site;Line\nAck;Valley\n')
    expect((await undo(at)).text).toContain('was changed since')
    sound()
  })

  it('stays when a fault it brought in has a note since', async () => {
    const at = await bring('past faults', files['past faults'])
    const [fault] = site.deps.storage.faults.listByPosition('up', 1)
    await isla.post(`/faults/${fault?.id}/notes`, { words: 'seen' })
    const refused = await undo(at)
    expect([refused.status, refused.text]).toEqual([409, expect.stringContaining('engineer notes')])
    sound()
  })

  it('takes nothing else with it: a fault reported here meanwhile is still there', async () => {
    const at = await bring('past faults', files['past faults'])
    const fault = await report(await site.as('wren'))
    await undo(at)
    expect(site.deps.storage.faults.listBySite('site', 9).map(one => one.id)).toEqual([fault])
  })

  it('is undone with a reason, and once', async () => {
    const at = await bring('sites', 'Site\nAck\n')
    expect((await undo(at, ' ')).text).toContain('Say why it is undone')
    await undo(at)
    expect((await undo(at)).status).toBe(303)
    expect(site.db.prepare('SELECT count(*) FROM undone_imports').pluck().get()).toBe(1)
  })
})

import { beforeEach, expect, it } from 'vitest'
import { verifyDatabase } from '../../../server/storage/safekeeping/verify.ts'
import { findRun, sweepLeftOver } from '../../../server/web/engineer/bring-in/import-runs.ts'
import { pastFaultsFile } from '../../bench/past-faults-file.ts'
import { makeSite, type Site } from '../../support/site.ts'
import type { Page, Visitor } from '../../support/visitor.ts'

// A file that is brought in a little at a time, stopped in the middle to look at it.

const rows = 300
let site: Site
let isla: Visitor
/** While it is held nothing goes on by itself. */
let held: (() => void)[] | null
beforeEach(async () => {
  held = null
  site = await makeSite()
  site.deps.host.whenIdle = run => void (held ? held.push(run) : setImmediate(run))
  isla = await site.as('isla')
})

function letGo(): void {
  const waiting = held ?? []
  held = null
  for (const run of waiting) setImmediate(run)
}

/** Goes on until it is so, a slice at a time. */
async function goOnUntil(isSo: () => boolean): Promise<void> {
  for (let n = 0; !isSo(); n += 1) {
    if (n > 10_000) throw new Error('It never came to that.')
    held?.shift()?.()
    await new Promise(setImmediate)
  }
}

/** Sends the file and answers what is asked; gives its address, where it may be tried out. */
async function setUp(visitor = isla, name = 'depot.csv', file = pastFaultsFile(rows)): Promise<string> {
  const sent = await visitor.agent
    .post('/import')
    .set('Sec-Fetch-Site', 'same-origin')
    .field('subject', 'past faults')
    .attach('file', Buffer.from(file), name)
  const at = sent.headers.location ?? ''
  const columns = await visitor.get(at)
  await visitor.post(`${at}/columns`, { ...chosen(columns), dateOrder: 'day first', decimalMark: 'point' })
  await visitor.post(`${at}/check`, chosen(await visitor.get(`${at}/words`)))
  return at
}

function chosen({ html }: Page): Record<string, string> {
  return Object.fromEntries(
    [...html.matchAll(/<select[^>]*name="([^"]+)"[^>]*>([\s\S]*?)<\/select>/g)].map(
      ([, name = '', body = '']) => [name, /value="([^"]*)"\s+selected/.exec(body)?.[1] ?? ''],
    ),
  )
}

async function loadHeld(at: string, more: Record<string, string> = {}): Promise<string> {
  held = []
  const { status, location } = await isla.post(`${at}/load`, more)
  expect([status, location]).toEqual([303, expect.stringMatching(/^\/import\/[0-9a-f-]{36}$/)])
  return location
}
const runAt = (address: string) => findRun(site.deps, address.split('/').at(-1) ?? '')
const written = (address: string) => runAt(address)?.bringing.written().done ?? 0
const count = (table: string) => site.db.prepare(`SELECT count(*) FROM ${table}`).pluck().get()
const found = () => site.deps.storage.faults.listRecent(1000).length

it('a try-out shows how far it is, comes again by itself, and may be left and come back to', async () => {
  const at = await setUp()
  held = []
  const trying = await isla.agent.get(`${at}/check`)
  expect([trying.status, trying.headers.refresh]).toEqual([200, '1'])
  expect(trying.text).toContain('0 of 300 rows looked at')
  letGo()
  expect((await isla.get('/import')).text).toMatch(/depot\.csv past faults you (tried out|being tried out)/)
  const tried = await isla.get(`${at}/check`)
  expect(tried.text).toMatch(/300 new 0 changed 0 the same .*0 bad/)
  expect(count('faults')).toBe(0)
})

it('a load shows how far it is to every engineer, is found again, and counts only when all is written', async () => {
  const address = await loadHeld(await setUp())
  expect((await isla.get(address)).text).toContain('0 of 300 rows looked at')
  await goOnUntil(() => written(address) > 100)
  const part = written(address)
  expect(part).toBeLessThan(rows)
  site.deps.storage.people.update('rue', { role: 'engineer' })
  const rue = await site.as('rue')
  const seen = await rue.agent.get(address)
  expect(seen.headers.refresh).toBe('1')
  expect(seen.text).toContain(`${part} of 300 rows written; none of them counts yet`)
  expect((await rue.get('/import')).text).toContain(
    `depot.csv past faults Isla Verrin ${part} of 300 rows written`,
  )
  expect([count('faults'), found()]).toEqual([part, 0])
  letGo()
  await runAt(address)?.ended
  expect((await rue.get(address)).text).toMatch(/Brought in: past faults .* by Isla Verrin.* 300 new/)
  expect([found(), count('not_in_force')]).toEqual([rows, 0])
  expect(verifyDatabase(site.db).problems).toEqual([])
})

it('the same form sent again while it comes in leads to the same import', async () => {
  const at = await setUp()
  const id = '4b0c8f7e-6d55-4a7e-9d5c-0d6a4f0f2f11'
  const address = await loadHeld(at, { id })
  await goOnUntil(() => written(address) > 0)
  expect((await isla.post(`${at}/load`, { id })).location).toBe(address)
  letGo()
  await runAt(address)?.ended
  expect((await isla.post(`${at}/load`, { id })).location).toBe(address)
  expect([found(), count('imports')]).toEqual([rows, 1])
})

it('a second one is refused in words while one comes in, and taken after that', async () => {
  const [at, other] = [await setUp(), await setUp(isla, 'other.csv', pastFaultsFile(rows + 20))]
  const address = await loadHeld(at)
  await goOnUntil(() => written(address) > 0)
  const refused = await isla.post(`${other}/load`, {})
  expect(refused.status).toBe(409)
  expect(refused.text).toContain('depot.csv is being brought in, by Isla Verrin')
  letGo()
  await runAt(address)?.ended
  const second = await isla.post(`${other}/load`, {})
  await runAt(second.location)?.ended
  expect((await isla.get(second.location)).text).toMatch(/20 new 0 changed 300 the same/)
})

it('of two sent at one moment one comes in', async () => {
  const files = [await setUp(), await setUp(isla, 'other.csv', pastFaultsFile(rows + 20))]
  const answers = await Promise.all(files.map(at => isla.post(`${at}/load`, {})))
  expect(answers.map(({ status }) => status).sort()).toEqual([303, 409])
  for (const { location } of answers) if (location) await runAt(location)?.ended
  expect(count('imports')).toBe(1)
})

it('can be given up until it is in force; then nothing of it is on record, and the file can be brought in again', async () => {
  const at = await setUp()
  const address = await loadHeld(at)
  await goOnUntil(() => written(address) > 100)
  const page = await isla.get(address)
  expect(page.html).toContain(`action="${address}/cancellation"`)
  const id = '0d0f8f4e-51d3-4b7e-8a3c-2a7d6cf0a3b5'
  for (let twice = 0; twice < 2; twice += 1)
    expect((await isla.post(`${address}/cancellation`, { id })).location).toBe(address)
  expect((await isla.post(`${address}/cancellation`, { id, note: 'other words' })).status).toBe(409)
  letGo()
  await runAt(address)?.ended
  const given = await isla.get(address)
  expect(given.text).toContain('Nothing was brought in')
  expect(given.text).toContain('given up by an engineer')
  for (const table of ['faults', 'imported_faults', 'closures', 'conditions', 'not_in_force'])
    expect([table, count(table)]).toEqual([table, 0])
  expect((await isla.get('/import')).text).toContain('past faults: came to nothing')
  expect((await isla.post(`${address}/cancellation`, {})).status).toBe(409)
  const again = await isla.post(`${at}/load`, {})
  await runAt(again.location)?.ended
  expect((await isla.get(again.location)).text).toContain('300 new')
  expect((await isla.post(`${again.location}/cancellation`, {})).status).toBe(409)
  expect(verifyDatabase(site.db).problems).toEqual([])
})

it('given up before anything is written, it leaves no mark', async () => {
  const address = await loadHeld(await setUp())
  await isla.post(`${address}/cancellation`, {})
  letGo()
  await runAt(address)?.ended
  expect((await isla.get(address)).text).toContain('Look at the file again')
  expect([count('imports'), count('faults')]).toEqual([0, 0])
})

it('rows that turn out bad only then keep all of it out, with the way back to the file', async () => {
  const at = await setUp(
    isla,
    'depot.csv',
    `${pastFaultsFile(rows)}\n999,NOWHERE,2020-01-01T10:00,Telltale dark,,,,`,
  )
  const address = await loadHeld(at)
  letGo()
  await runAt(address)?.ended
  const refused = await isla.get(address)
  expect(refused.text).toContain('Some rows are bad, and they were not to be left out')
  expect(refused.html).toContain(`href="${at}/check"`)
  expect([count('imports'), count('faults')]).toEqual([0, 0])
})

it('something that goes wrong while it is written takes all of it away', async () => {
  const address = await loadHeld(await setUp())
  await goOnUntil(() => written(address) > 100)
  site.db.exec(
    "CREATE TEMP TRIGGER trouble BEFORE INSERT ON main.closures BEGIN SELECT RAISE(FAIL, 'trouble'); END",
  )
  letGo()
  await runAt(address)?.ended
  expect((await isla.get(address)).text).toContain('Something went wrong on our side')
  expect([count('faults'), count('not_in_force')]).toEqual([0, 0])
})

it('what a stopped program left is taken away; until then no other comes in, and its page says what it was', async () => {
  const { storage, library } = site.deps
  const file = { id: 'left', by: 'isla', fileName: 'left.csv', sha256: 'x', columns: {} }
  storage.imports.begin({ ...file, editionId: library.current().id }, 'past faults').open(0)
  const at = await setUp()
  held = []
  const left = await isla.agent.get('/import/left')
  expect([left.status, left.headers.refresh]).toEqual([200, '1'])
  expect(left.text).toContain('The program was stopped before this was in force')
  const refused = await isla.post(`${at}/load`, {})
  expect(refused.status).toBe(409)
  expect(refused.text).toContain('is being taken away')
  letGo()
  await sweepLeftOver(site.deps)
  await expect.poll(() => storage.imports.underWay()).toBeNull()
  expect((await isla.get('/import/left')).text).toContain(
    'The program was stopped before all of it was written',
  )
  const { location } = await isla.post(`${at}/load`, {})
  await runAt(location)?.ended
  expect(found()).toBe(rows)
})

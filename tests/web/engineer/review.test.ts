import { randomUUID } from 'node:crypto'
import { beforeAll, describe, expect, it } from 'vitest'
import { loadDemo } from '../../../server/demo/load.ts'
import { plantedTruths } from '../../../server/demo/story/truths.ts'
import { TRIAL_RESULT_OF_ALL, TRIAL_RESULTS } from '../../../server/practice/trials/trial-results.ts'
import { TRIAL_WORLDS } from '../../../server/practice/trials/trial-worlds.ts'
import { makeSite, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'

// The pages over the demo railway, through the real application. Invented data, for the demo only.

const truths = plantedTruths(1)
let site: Site
let engineer: Visitor
const bad = truths.failing[0] ?? ''

beforeAll(async () => {
  site = await makeSite({ knowledgeDir: 'knowledge', env: { RATE_PER_MINUTE: '0' } })
  const { knowledge, id } = site.deps.library.current()
  await loadDemo(site.deps.storage, knowledge, id, { seed: 1, now: new Date(site.deps.clock()) })
  engineer = await site.as('isla')
})

describe('the first page', () => {
  it('says window, as-at, n and what was left out, and lists what stands out', async () => {
    const page = await engineer.get('/review')
    expect(page.status).toBe(200)
    expect(page.text).toMatch(/2 November 2024 to 2 November 2026, data as at .*, n = \d+, left out: none/)
    for (const id of truths.failing) expect(page.html).toContain(`href="/review/positions/${id}"`)
    for (const serial of truths.rogueSerials) expect(page.text).toContain(serial)
    expect(page.text).toContain('less than 1 chance in')
    expect(page.text).not.toContain('NaN')
  })

  it('answers why of each figure with its terms', async () => {
    const { text } = await engineer.get('/review')
    expect(text).toContain('adjusted for how many were looked at')
    expect(text).toContain('faults that are a repeat by the rule (numerator)')
  })

  it('looks at another window when asked, and keeps to it in its links', async () => {
    const page = await engineer.get('/review?from=2026-01-01&to=2026-06-30')
    expect(page.text).toContain('1 January 2026 to 30 June 2026')
    expect(page.html).toContain('/review/causes?from=2026-01-01&amp;to=2026-06-30')
    expect((await engineer.get('/review?from=rubbish&to=2026-99-99')).status).toBe(200)
  })
})

describe('the pages of the review', () => {
  it.each([
    ['/review/causes', ['Nothing found', 'Where the time goes', 'never by person']],
    [
      '/review/when',
      ['By the day’s lowest', 'Failing together', 'days that went below 0 °C', 'What this cannot tell'],
    ],
    ['/review/units', ['carries its fault', '% of', ...truths.rogueSerials]],
    ['/review/trends', ['By kind of equipment', 'of service between faults', 'Resistance of the']],
    ['/review/unseen', ['How long they stand dead', 'Seen working last']],
    ['/review/rules', ['What counts as a repeat', 'A row without a name is no rule']],
    ['/review/reviews', ['No review is open']],
  ])('%s says what it is for', async (address, words) => {
    const page = await engineer.get(address)
    expect(page.status).toBe(200)
    for (const word of words) expect(page.text).toContain(word)
    expect(page.text).not.toMatch(/NaN|undefined|Infinity|null/)
  })

  it('gives each chart a title, a description and its table', async () => {
    for (const address of [
      '/review',
      '/review/causes',
      '/review/when',
      '/review/trends',
      `/review/positions/${bad}`,
    ]) {
      const { html } = await engineer.get(address)
      const charts = html.match(/<svg[^>]*class="chart"/g) ?? []
      expect(charts.length, address).toBeGreaterThan(0)
      expect(html.match(/<desc id=/g)?.length, address).toBe(charts.length)
      expect(html.match(/The figures of this chart/g)?.length ?? 0, address).toBeGreaterThan(0)
    }
  })

  it('judges the ranking beside the program, and says so meanwhile', async () => {
    expect((await engineer.get('/review/ranking')).text).toContain('It is being worked out')
  })

  it('shows how the ranking does where the tree is wrong, with limits to each figure', async () => {
    const { text } = await engineer.get('/review/ranking')
    for (const { name, words } of TRIAL_WORLDS) expect(text).toContain(`${name} ${words}`)
    const { minutes, reached, reachedByAuthor } = TRIAL_RESULT_OF_ALL
    const [value, low, high] = minutes?.map(one => one.toFixed(2)) ?? []
    const [own, authors] = [reached, reachedByAuthor].map(one => Math.round((one?.[0] ?? 0) * 100))
    expect(text).toContain(`All together ${own} % ${authors} % ${value} ${low} to ${high}`)
    expect(text).toContain(`the tree’s own order ${authors} %.`)
    expect(Object.keys(TRIAL_RESULTS)).toEqual(TRIAL_WORLDS.map(({ name }) => name))
  })
})

describe('one position', () => {
  it('shows everything on record on one line of time, and how it compares', async () => {
    const page = await engineer.get(`/review/positions/${bad}`)
    expect(page.text).toContain('would be usual')
    for (const lane of ['Faults', 'Readings', 'Transmitter', 'Visits', 'Work', 'Notes'])
      expect(page.html).toContain(`>${lane}</text>`)
    expect((await engineer.get(`/positions/${bad}`)).html).toContain(`/review/positions/${bad}`)
  })

  it('has a case file that reads without the program', async () => {
    const page = await engineer.get(`/review/positions/${bad}/case-file`)
    expect(page.status).toBe(200)
    expect(page.html).not.toMatch(/<link|<script|src=/)
    expect(page.html).toContain('<style>')
    expect(page.text).toContain('Case file')
  })

  it('keeps the delay a fault caused, and the newest word counts', async () => {
    const fault = site.deps.storage.faults.listByPosition(bad, 1)[0]?.id ?? ''
    expect((await engineer.post(`/review/faults/${fault}/delay`, { minutes: 'some' })).status).toBe(400)
    for (const minutes of ['12', '19']) await engineer.post(`/review/faults/${fault}/delay`, { minutes })
    expect(site.deps.storage.delays.find(fault)).toBe(19)
    expect((await engineer.get(`/review/positions/${bad}`)).text).toContain('19 min')
  })
})

describe('two positions side by side', () => {
  it('are compared by facts, faults, units and readings, each with its line of time', async () => {
    const [one, other] = [bad, truths.failing[1] ?? ''].map(id => site.deps.storage.positions.get(id))
    const page = await engineer.get(`/review/compare?a=${one?.plate}&b=${other?.plate}`)
    for (const words of [
      one?.name,
      other?.name,
      'Faults in the window',
      'Against its kind',
      'Unit: ',
      'Reading: ',
    ])
      expect(page.text).toContain(words)
    expect(page.html.match(/<svg[^>]*class="chart/g)).toHaveLength(2)
    expect((await engineer.get('/review/compare?a=NONE-1')).text).toContain('No position has this plate')
  })
})

describe('the week', () => {
  it('says on one page what is new, came again, is cured, overdue, on the wrong side, and not known', async () => {
    const { text, status } = await engineer.get('/review/weekly')
    expect(status).toBe(200)
    for (const head of [
      'New this week',
      'Came again',
      'Cured or gone',
      'Overdue',
      'Wrong side',
      'What is not known',
    ])
      expect(text).toContain(head)
    expect(text).not.toMatch(/undefined|NaN/)
  })
})

describe('what is known', () => {
  it('lists each record with its span, and refuses a span that ends before it begins', async () => {
    const page = await engineer.get('/review/known')
    expect(page.text).toMatch(/Faults Recorded here [\d,]+ .* now From its first entry/)
    const said = { of: 'faults here', since: '2026-06-01', until: '2026-05-01', words: 'found a book' }
    expect((await engineer.post('/review/known', said)).text).toContain('That is before the first day')
    expect((await engineer.post('/review/known', { ...said, of: 'rain here' })).text).toContain(
      'Choose the record',
    )
  })

  it('says when a window is reversed, holds little, or lies where nothing is known', async () => {
    expect((await engineer.get('/review?from=2026-06-01&to=2026-01-01')).text).toContain(
      'before the first day of the window',
    )
    expect((await engineer.get('/review?from=2031-01-01')).text).toContain('still to come')
    const tiny = await engineer.get('/review/trends?from=2026-10-01&to=2026-10-12')
    expect(tiny.text).toContain('Only 12 days of this window are known')
    expect(tiny.text).not.toMatch(/Getting (worse|better):/)
    expect(tiny.text).toMatch(/Cannot say: \d+ faults? in 12 days known/)
    expect((await engineer.get('/review/when?from=2026-01-01&to=2026-06-30')).text).toContain(
      'a season takes a whole year',
    )
    expect((await engineer.get('/review?from=1995-01-01&to=1995-12-31')).text).toContain(
      'No fault of this window is on record',
    )
  })
})

describe('what needs attention', () => {
  it('says of each position the main cause, the last fault, the last work and its review', async () => {
    const { text } = await engineer.get('/review')
    expect(text).toMatch(/Mostly: [^.]+, \d+ of \d+ with a cause found\. Last fault \d/)
    expect(text).toMatch(/Last work [^:]+: [a-z ]+; \d+ faults? since\. (No review is open|Review:)/)
  })

  it('lets go of a position that stayed away by its own statistics, and says so for a while', async () => {
    const { html } = await engineer.get('/review')
    const [list = '', left = ''] = html.split('id="cleared"')
    const attention = list.slice(list.indexOf('id="attention"'))
    expect(attention).not.toContain(`/review/positions/${truths.wet}`)
    expect(attention).toContain(`/review/positions/${bad}`)
    const cleared = left.slice(0, left.indexOf('id="repeats"'))
    expect(cleared).toContain(`/review/positions/${truths.wet}`)
    expect(cleared).toMatch(/it stayed away[\s\S]*cured/)
  })
})

describe('all faults', () => {
  it('are narrowed down by the address, and taken out as CSV by the same', async () => {
    const all = await engineer.get('/review/faults')
    const total = Number(/([\d,]+) faults? found/.exec(all.text)?.[1]?.replace(',', ''))
    expect(total).toBeGreaterThan(100)
    const some = '/review/faults?from=2026-01-01&to=2026-06-30&protection=lost'
    const fewer = await engineer.get(some)
    const left = Number(/(\d+) faults? found/.exec(fewer.text)?.[1])
    expect(left).toBeGreaterThan(0)
    expect(left).toBeLessThan(total)
    const csv = await engineer.agent.get(some.replace('faults?', 'faults.csv?'))
    const lines = csv.text.trim().split('\r\n')
    expect(lines[0]).toBe(
      'Reported,Site,Position,Symptom,Train protection,Outcome,Cause,What was done,Delay in minutes',
    )
    expect(lines).toHaveLength(left + 1)
    expect(lines.slice(1).every(line => line.startsWith('2026-0') && line.includes(',lost,'))).toBe(true)
    const reversed = await engineer.get('/review/faults?from=2026-06-01&to=2026-01-01')
    expect(reversed.text).toContain('That is before the first day.')
  })

  it('on the wrong side are summed up by kind, each with what was done', async () => {
    const { text } = await engineer.get('/review/wrong-side')
    expect(text).toMatch(/\d+ faults? of \d+ left trains without protection/)
    expect(text).toContain('Without a cause found')
  })

  it('within 30 days of work at a position are those alone', async () => {
    const after = await engineer.get('/review/faults?afterWork=yes')
    const all = await engineer.get('/review/faults')
    const count = (page: typeof all) => Number(/(\d+) faults? found/.exec(page.text)?.[1])
    expect(count(after)).toBeGreaterThan(0)
    expect(count(after)).toBeLessThan(count(all))
  })
})

describe('the life of a unit', () => {
  it('is found by its serial number, kept apart and released, and moved as planned', async () => {
    const rogue = truths.rogueSerials[1] ?? ''
    expect((await engineer.get(`/units?search=${rogue}`)).text).toContain('Transmitter module')
    const unit = site.deps.storage.units.findBySerial('transmitter module', rogue)
    const address = `/review/units/${encodeURIComponent(unit?.id ?? '')}`
    await engineer.post(`${address}/holds`, { state: 'kept apart', reason: 'comes back' })
    expect((await engineer.get(`/units?search=${rogue}`)).text).toContain('kept apart')
    const plate = site.deps.storage.positions.get(bad).plate
    expect((await engineer.post(`${address}/changes`, { plate, why: 'swap' })).text).toContain(
      'It is kept apart',
    )
    await engineer.post(`${address}/holds`, { state: 'released', reason: 'repaired' })
    expect((await engineer.post(`${address}/changes`, { plate: 'NONE-1', why: 'swap' })).text).toContain(
      'No position has this plate',
    )
    expect((await engineer.post(`${address}/changes`, { why: 'taken in as a spare' })).status).toBe(303)
    expect((await engineer.get(address)).text).toContain('not fitted anywhere')
    expect((await engineer.post(`${address}/changes`, { plate, why: 'planned swap' })).status).toBe(303)
    const now = site.deps.storage.units.historyOfUnit(unit?.id ?? '')[0]
    expect([now?.positionId, now?.removedAt]).toEqual([bad, null])
    const kind = site.deps.storage.units
      .historyOfPosition(bad)
      .filter(one => one.kind === 'transmitter module')
    expect(kind.filter(one => one.removedAt === null)).toHaveLength(1)
  })
})

describe('from finding to action', () => {
  it('opens a review with an owner, follows it, and says whether the failure stayed away', async () => {
    const id = randomUUID()
    const where = `/review/positions/${bad}/reviews`
    expect((await engineer.get(`${where}/new`)).text).toContain('would be usual')
    const refused = await engineer.post(where, { why: '', owner: '' })
    expect(refused.text).toContain('Say what makes it worth a review')
    const sent = {
      id,
      why: 'third in a year',
      owner: 'isla',
      cause: 'joint',
      action: 'remake it',
      due: '2026-10-01',
    }
    expect((await engineer.post(where, sent)).location).toBe(`/review/reviews/${id}`)
    expect((await engineer.get('/review')).text).toContain('overdue')
    const done = { owner: 'isla', action: 'remade', doneOn: '2026-10-20' }
    await engineer.post(`/review/reviews/${id}/entries`, done)
    expect((await engineer.get(`/review/reviews/${id}`)).text).toMatch(
      /since; [\d.]+ would be usual; (too early to say|no better)/,
    )
    await engineer.post(`/review/reviews/${id}/entries`, { ...done, result: 'dry now', closed: 'yes' })
    expect((await engineer.post(`/review/reviews/${id}/entries`, done)).status).toBe(409)
    expect((await engineer.get('/review/reviews')).text).toContain('No review is open')
  })

  it('keeps what the workshop found with the unit', async () => {
    const unit = site.deps.storage.units.findBySerial('transmitter module', truths.rogueSerials[0] ?? '')
    const address = `/review/units/${encodeURIComponent(unit?.id ?? '')}`
    expect((await engineer.post(`${address}/visits`, { result: 'broken' })).status).toBe(400)
    await engineer.post(`${address}/visits`, { result: 'tested good', words: 'two days on the bench' })
    expect((await engineer.get(address)).text).toContain('two days on the bench')
  })

  it('lets the engineer set what counts as a repeat', async () => {
    const bad = await engineer.post('/review/rules', { name1: 'twice', days1: '0', faults1: '2' })
    expect(bad.text).toContain('Give whole days')
    await engineer.post('/review/rules', { name1: 'twice in a month', days1: '31', faults1: '2' })
    expect((await engineer.get('/review')).text).toContain('twice in a month')
    expect(site.deps.storage.reviewSettings.repeatWindows()).toHaveLength(1)
  })
})

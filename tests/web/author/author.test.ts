import { randomUUID } from 'node:crypto'
import { describe, expect, it, vi } from 'vitest'
import { missingTable } from '../../../server/web/author/trees/coverage.ts'
import { makeSite, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'
import { attend, find, identify, report } from '../../support/walking.ts'

const tree = 'trees/dead.md'
const inUse = (site: Site, path = tree) =>
  site.deps.library.files(site.deps.library.current().id).find(file => file.path === path)?.text ?? ''

/** Begins a draft of a file in use; gives its id and the id of its text. */
async function begin(site: Site, visitor: Visitor, path = tree) {
  await visitor.post('/drafts', { path, from: 'use' })
  const draft = site.deps.storage.drafts.findByPath(path)
  if (!draft) throw new Error('no draft was begun')
  return draft
}

const keep = (visitor: Visitor, draft: string, over: string, text: string, how = 'check') =>
  visitor.post(`/drafts/${draft}/texts`, { over, text, how })

/** What a page's script sends at a pause, and gets. */
async function pause(visitor: Visitor, draft: string, over: string, text: string) {
  const sent = visitor.agent.post(`/drafts/${draft}/texts`).type('form')
  const answer = await sent
    .set({ 'Sec-Fetch-Site': 'same-origin', Accept: 'application/json' })
    .send({ id: randomUUID(), over, text, how: 'pause' })
  return answer.body as { over: string; aside: string | null; html: string; at: string }
}

/** A changed tree drafted by Odo and proposed. */
async function proposed(
  change: (text: string) => string = text => text.replace('- Takes: 3 min', '- Takes: 4 min'),
) {
  const site = await makeSite()
  const odo = await site.as('odo')
  const draft = await begin(site, odo)
  await keep(odo, draft.id, draft.head.id, change(inUse(site)))
  const id = randomUUID()
  await odo.post('/proposals', { id, note: 'The supply takes longer', drafts: draft.id })
  return { site, odo, rue: await site.as('rue'), id, draft: draft.id }
}

describe('a draft', () => {
  it('shows the problems by line with how to mend them, and the tree drawn', async () => {
    const site = await makeSite()
    const odo = await site.as('odo')
    const draft = await begin(site, odo)
    const sound = await odo.get(`/drafts/${draft.id}`)
    expect(sound.text).toContain('No problems')
    expect(sound.html).toContain('<svg xmlns="http://www.w3.org/2000/svg" class="tree-drawing"')
    const text = inUse(site).replace('- Between: S1 and S2', '- Between: S1 and S9')
    const page = await odo.open((await keep(odo, draft.id, draft.head.id, text)).location)
    const line = text.split('\n').indexOf('- Between: S1 and S9') + 1
    expect(page.html).toContain(`href="#line-${line}"`)
    expect(page.html).toContain(`id="line-${line}"`)
    expect(page.text).toContain('has no terminal “S9”')
    expect(page.text).toContain('Correct the name')
  })

  it('is kept and checked at each pause, for the page’s script', async () => {
    const site = await makeSite()
    const odo = await site.as('odo')
    const draft = await begin(site, odo)
    const first = await pause(odo, draft.id, draft.head.id, `${inUse(site)}\nOne.\n`)
    expect(first.html).toContain('tree-drawing')
    const second = await pause(odo, draft.id, first.over, `${inUse(site)}\nOne and two.\n`)
    expect(second.aside).toBeNull()
    const { drafts } = site.deps.storage
    expect(drafts.get(draft.id).head.text).toContain('One and two.')
    expect(drafts.texts(draft.id)).toHaveLength(2) // what came with it, and the last pause
  })

  it('typed over by two at once keeps both, shows both, and is settled by hand', async () => {
    const site = await makeSite()
    const odo = await site.as('odo')
    const isla = await site.as('isla')
    const draft = await begin(site, odo)
    const theirs = await pause(isla, draft.id, draft.head.id, `${inUse(site)}\nIsla was here.\n`)
    const mine = await pause(odo, draft.id, draft.head.id, `${inUse(site)}\nOdo was here.\n`)
    expect(theirs.aside).toBeNull()
    expect(mine.aside).toContain('?aside=')
    const again = await pause(odo, draft.id, mine.over, `${inUse(site)}\nOdo was here too.\n`)
    expect(site.deps.storage.drafts.get(draft.id).asides).toHaveLength(1)
    const both = await odo.get(again.aside ?? '')
    expect(both.text).toContain('+ Odo was here too.')
    expect(both.text).toContain('− Isla was here.')
    expect((await odo.get('/proposals/new')).text).toContain('has two texts')
    const { head } = site.deps.storage.drafts.get(draft.id)
    const text = `${inUse(site)}\nIsla and Odo were here.\n`
    await odo.post(`/drafts/${draft.id}/texts`, { over: head.id, settles: again.over, text, how: 'check' })
    const settled = site.deps.storage.drafts.get(draft.id)
    expect([settled.asides.length, settled.head.text]).toEqual([0, text])
  })

  it('takes a file much larger than other forms, and refuses one that is no file', async () => {
    const site = await makeSite()
    const odo = await site.as('odo')
    const draft = await begin(site, odo)
    const large = `${inUse(site)}\n${'| x | y | z |\n'.repeat(20_000)}`
    expect((await keep(odo, draft.id, draft.head.id, large)).status).toBe(303)
    const { head } = site.deps.storage.drafts.get(draft.id)
    expect((await keep(odo, draft.id, head.id, 'x'.repeat(1_000_001))).status).toBe(400)
  })

  it('is put away, and then begins anew', async () => {
    const site = await makeSite()
    const odo = await site.as('odo')
    const draft = await begin(site, odo)
    await odo.post(`/drafts/${draft.id}`, { how: 'put away' })
    expect((await odo.get(`/drafts/${draft.id}`)).status).toBe(404)
    expect((await begin(site, odo)).id).not.toBe(draft.id)
  })

  it('is read by reviewers and written by authors, and is nothing for technicians', async () => {
    const site = await makeSite()
    const draft = await begin(site, await site.as('odo'))
    const rue = await site.as('rue')
    expect((await rue.get(`/drafts/${draft.id}`)).html).not.toContain('<textarea')
    expect((await keep(rue, draft.id, draft.head.id, 'x')).status).toBe(403)
    expect((await (await site.as('wren')).get(`/drafts/${draft.id}`)).status).toBe(403)
  })

  it('of a new file begins with the least that a file can be', async () => {
    const site = await makeSite()
    const odo = await site.as('odo')
    expect((await odo.post('/drafts/files', { kind: 'trees', name: '../x' })).text).toContain('small letters')
    expect((await odo.post('/drafts/files', { kind: 'trees', name: 'dead' })).text).toContain(
      'a file of this name',
    )
    const page = await odo.open(
      (await odo.post('/drafts/files', { kind: 'trees', name: 'no-drive' })).location,
    )
    expect(page.text).toContain('First check')
    expect(page.text).toContain('link-target-unknown')
  })

  it('shows hostile Markdown as words', async () => {
    const site = await makeSite()
    const odo = await site.as('odo')
    const draft = await begin(site, odo)
    const nasty =
      '<script>harm()</script> [x](javascript:harm()) <img src=x onerror=harm()> </textarea></pre><b>'
    const text = inUse(site).replace('# ', `# ${nasty} `).replace('| in range |', `| ${nasty} |`)
    const page = await odo.open((await keep(odo, draft.id, draft.head.id, text)).location)
    expect(page.status).toBe(200)
    for (const address of ['', '/drawing', '/table', '/try', '/examples']) {
      const { html, status } = await odo.get(`/drafts/${draft.id}${address}`)
      expect([200, 404]).toContain(status)
      expect(html).not.toMatch(/<script>|<img src=x|href="javascript|<\/textarea><\/pre>/)
    }
  })

  it('offers names, and cautions where live terminals are touched', async () => {
    const site = await makeSite()
    const odo = await site.as('odo')
    const draft = await begin(site, odo)
    const text = inUse(site).replace(/(## Supply\n\n)> .*\n\n/, '$1')
    expect(text).not.toBe(inUse(site))
    const page = await odo.open((await keep(odo, draft.id, draft.head.id, text)).location)
    expect(page.text).toContain('touches live terminals and has no caution')
    expect(page.html).toContain('data-insert="S1"')
  })
})

describe('trying a draft', () => {
  it('walks it by rows and by readings, and records nothing', async () => {
    const site = await makeSite()
    const odo = await site.as('odo')
    const draft = await begin(site, odo)
    const at = `/drafts/${draft.id}/try?position=up`
    expect((await odo.get(at)).text).toContain('Nothing is recorded')
    const low = await odo.get(`${at}&at=dead%23supply&reading=110`)
    expect(low.text).toContain('Loop resistance')
    expect(low.text).toContain('110 V AC')
    expect((await odo.get(`${at}&at=dead%23supply&reading=lots`)).text).toContain('Error:')
    const end = await odo.get(`${at}&f=dead%23supply%3Din+range&f=dead%23loop-resistance%3Dotherwise`)
    expect(end.text).toContain('Cause: Loop broken')
    expect(site.deps.storage.walked.list()).toEqual([])
  })
})

describe('publishing', () => {
  it('wants another person to approve, then puts the edition to use with its note', async () => {
    const { site, odo, rue, id } = await proposed()
    const before = site.deps.library.current().id
    expect((await odo.post(`/proposals/${id}/decisions`, { verdict: 'approved' })).status).toBe(403)
    expect((await odo.post(`/proposals/${id}/publication`, {})).status).toBe(409)
    const page = await rue.get(`/proposals/${id}`)
    expect(page.text).toContain('changed 3 min 4 min')
    await rue.post(`/proposals/${id}/decisions`, { verdict: 'approved', words: '' })
    expect((await rue.post(`/proposals/${id}/publication`, {})).status).toBe(403)
    await odo.post(`/proposals/${id}/publication`, {})
    expect(site.deps.library.current().id).not.toBe(before)
    expect(inUse(site)).toContain('- Takes: 4 min')
    expect((await odo.get('/editions')).text).toContain('The supply takes longer')
    expect(site.deps.storage.drafts.list()).toEqual([])
    expect((await odo.get(`/editions/${site.deps.library.current().id}/changes`)).text).toContain(
      'changed 3 min 4 min',
    )
  })

  it('does not let somebody who wrote in it approve it, though another proposed it', async () => {
    const site = await makeSite()
    const [odo, isla] = [await site.as('odo'), await site.as('isla')]
    const draft = await begin(site, odo)
    await keep(odo, draft.id, draft.head.id, inUse(site).replace('- Takes: 3 min', '- Takes: 4 min'))
    const id = randomUUID()
    await isla.post('/proposals', { id, note: 'Longer', drafts: draft.id })
    expect((await odo.post(`/proposals/${id}/decisions`, { verdict: 'approved' })).text).toContain(
      'Nobody approves',
    )
    expect((await isla.post(`/proposals/${id}/decisions`, { verdict: 'approved' })).text).toContain(
      'Nobody approves',
    )
  })

  it('refuses what has errors, and what is no change', async () => {
    const site = await makeSite()
    const odo = await site.as('odo')
    const draft = await begin(site, odo)
    const same = await odo.post('/proposals', { note: 'x', drafts: draft.id })
    expect([same.status, same.text.includes('Nothing is changed yet')]).toEqual([400, true])
    await keep(odo, draft.id, draft.head.id, inUse(site).replace('(#loop-resistance)', '(#nowhere)'))
    expect((await odo.post('/proposals', { note: 'x', drafts: draft.id })).text).toContain(
      'the first in trees/dead.md',
    )
    expect((await odo.post('/proposals', { note: 'x' })).text).toContain('Choose at least one draft')
  })

  it('sends back with words, and goes on with the same draft', async () => {
    const { site, odo, rue, id, draft } = await proposed()
    expect(
      (await rue.post(`/proposals/${id}/decisions`, { verdict: 'sent back', words: '' })).text,
    ).toContain('Say why')
    await rue.post(`/proposals/${id}/decisions`, { verdict: 'sent back', words: 'measure it first' })
    expect((await odo.get(`/proposals/${id}`)).text).toContain('measure it first')
    expect(site.deps.storage.drafts.get(draft).path).toBe(tree)
  })

  it('is refused once the file in use is another, and says so on the draft', async () => {
    const { site, odo, rue, id, draft } = await proposed()
    await rue.post(`/proposals/${id}/decisions`, { verdict: 'approved', words: '' })
    await odo.post(`/proposals/${id}/publication`, {})
    const next = await begin(site, odo)
    expect(next.id).not.toBe(draft)
    await odo.post(`/editions/${site.deps.library.current().id}/withdrawal`, { words: 'too long' })
    expect(inUse(site)).toContain('- Takes: 3 min')
    expect((await odo.get(`/drafts/${next.id}`)).text).toContain('The file in use has changed')
    await odo.post(`/drafts/${next.id}`, { how: 'taken in' })
    expect((await odo.get(`/drafts/${next.id}`)).text).not.toContain('The file in use has changed')
  })

  it('lets open walks stay on their edition, and names them beforehand', async () => {
    const { site, odo, rue, id } = await proposed()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    expect((await rue.get(`/proposals/${id}`)).text).toContain('1 open fault')
    const before = site.deps.storage.faults.get(fault).fault.editionId
    await rue.post(`/proposals/${id}/decisions`, { verdict: 'approved', words: '' })
    await odo.post(`/proposals/${id}/publication`, {})
    expect(site.deps.storage.faults.get(fault).fault.editionId).toBe(before)
    expect((await wren.get(`/faults/${fault}/checks/dead/supply`)).status).toBe(200)
  })
})

describe('withdrawing a tree', () => {
  it('keeps new faults off it and tells everybody, until it is lifted', async () => {
    const site = await makeSite()
    const [odo, wren] = [await site.as('odo'), await site.as('wren')]
    expect((await odo.post('/knowledge/dead/withdrawal', { words: ' ' })).status).toBe(400)
    await odo.post('/knowledge/dead/withdrawal', { words: 'the loop check misleads' })
    expect((await wren.get('/faults')).text).toContain('the loop check misleads')
    const refused = await wren.post('/faults', {
      ...{ position: 'up', tree: 'dead', noticed: 'x', reportedBy: 'y', protection: 'kept' },
    })
    expect(refused.status).toBe(400)
    await odo.post('/knowledge/dead/withdrawal/end', {})
    expect((await wren.get('/faults')).text).not.toContain('the loop check misleads')
    await report(wren)
    expect(site.deps.storage.faults.listOpen()).toHaveLength(1)
  })
})

describe('a report from the field', () => {
  it('is one tap on the check page, and its answer comes back to who said it', async () => {
    const site = await makeSite()
    const [wren, odo] = [await site.as('wren'), await site.as('odo')]
    const fault = await report(wren)
    await attend(wren, fault)
    expect((await wren.get(`/faults/${fault}/checks/dead/supply`)).text).toContain(
      'This was wrong or unclear',
    )
    const fields = { tree: 'dead', check: 'supply', kind: 'wrong or unclear', words: 'which S1?' }
    const said = await wren.post(`/faults/${fault}/reports`, fields)
    expect((await wren.get(said.location)).text).toContain('The authors see it')
    expect((await odo.get('/field-reports')).text).toContain('which S1?')
    const [made] = site.deps.storage.reports.list()
    await odo.post(`/field-reports/${made?.id}/answers`, { words: 'The one on the left; mended.' })
    expect((await wren.get('/faults')).text).toContain('The one on the left')
    expect((await (await site.as('moss')).get('/faults')).text).not.toContain('The one on the left')
    const answer = site.deps.storage.reports.list()[0]?.answers[0]?.id ?? ''
    await wren.post(`/report-answers/${answer}/receipt`, {})
    expect((await wren.get('/faults')).text).not.toContain('The one on the left')
    expect((await odo.get('/knowledge/dead/evidence')).text).toContain('which S1?')
  })
})

describe('the record beside the tree', () => {
  async function walkedSite() {
    const site = await makeSite()
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    site.pass(3)
    await find(wren, fault, 'supply', '110')
    await identify(wren, fault)
    site.pass(6)
    await find(wren, fault, 'loop-resistance', '5')
    await wren.post(`/faults/${fault}/put-back`, {})
    return { site, fault, odo: await site.as('odo') }
  }

  it('counts how each check did, with the minutes really taken', async () => {
    const { odo } = await walkedSite()
    const page = await odo.get('/knowledge/dead/evidence')
    expect(page.text).toMatch(/Supply 1 \d 3, from 1 Takes 3/)
    expect(page.text).toMatch(/Loop resistance 1 \d 6, from 1/)
  })

  it('replays every walk on a draft, and opens one that changes', async () => {
    const { site, odo, fault } = await walkedSite()
    const draft = await begin(site, odo)
    const changed = inUse(site).replace(
      '| otherwise | The loop is not whole. |',
      '| otherwise | The loop is not whole, or dry. |',
    )
    await keep(odo, draft.id, draft.head.id, changed.replace('- Takes: 3 min', '- Takes: 9 min'))
    expect((await odo.get(`/drafts/${draft.id}/replays`)).text).toContain('1 walk is on record')
    const started = await odo.post(`/drafts/${draft.id}/replays`, {})
    const run = await odo.get(started.location)
    expect(run.text).toContain('1 walk replayed')
    expect(run.text).toContain('longer')
    expect(run.text).toContain('+6')
    expect((await odo.get(`${started.location}/${fault}`)).text).toContain('Wendle Halt')
  })

  it('draws a walk’s way on the tree', async () => {
    const { odo, fault } = await walkedSite()
    const page = await odo.get(`/knowledge/dead/drawing?fault=${fault}&zoom=100`)
    expect(page.html).toContain('tree-line--taken')
    expect((await odo.get('/knowledge/dead/drawing')).html).not.toContain('tree-line--taken')
  })

  it('shows what the trees leave out', async () => {
    const { odo } = await walkedSite()
    const page = await odo.get('/coverage')
    expect(page.text).toContain('Causes no walk can come to')
    expect(page.text).toContain('demo value')
  })

  it('shows what is missing by the minutes it costs, once that is worked out', async () => {
    const { odo } = await walkedSite()
    const page = async () => (await odo.get('/coverage')).text
    expect(await page()).toMatch(/It is being worked out|Minutes a fault/)
    await vi.waitFor(async () => expect(await page()).toContain('Minutes a fault'), { timeout: 60_000 })
    expect(await page()).toContain('Nothing is missing that costs a tenth of a minute a fault.')
  })

  it('says of each missing thing what it is, and leaves out what costs nothing', () => {
    const of = { equipment: 'loop-transmitter', part: 0.25, checks: 3 }
    const table = missingTable(
      [
        { ...of, kind: 'fact', name: 'cable length', minutes: 2.44 },
        { ...of, kind: 'instrument', name: 'V AC', equipment: null, minutes: 1.5 },
        { ...of, kind: 'limit', name: 'drive current', minutes: 0.04 },
      ],
      slug => `the ${slug}`,
    )
    expect(JSON.stringify(table.rows)).toContain('fact not on record at 25 % of the positions')
    expect(JSON.stringify(table.rows)).toContain('no instrument in use measures it')
    expect(JSON.stringify(table.rows)).toContain('"2.4"')
    expect(JSON.stringify(table.rows)).not.toContain('drive current')
  })
})

describe('files in and out', () => {
  it('come out as one text and go in again as drafts of what differs', async () => {
    const site = await makeSite()
    const odo = await site.as('odo')
    const id = site.deps.library.current().id
    const { text: bundle } = await odo.agent
      .get(`/editions/${id}/bundle`)
      .buffer(true)
      .parse((res, done) => {
        let all = ''
        res.on('data', part => {
          all += part
        })
        res.on('end', () => done(null, all))
      })
      .then(res => ({ text: String(res.body) }))
    expect(bundle).toContain('@@@ trees/dead.md')
    await odo.post('/drafts/import', { text: bundle.replace('- Takes: 3 min', '- Takes: 5 min') })
    const drafts = site.deps.storage.drafts.list()
    expect(drafts.map(draft => draft.path)).toEqual([tree])
    expect(drafts[0]?.head.text).toContain('- Takes: 5 min')
    await odo.post('/drafts/import', { text: bundle.replace('- Takes: 3 min', '- Takes: 6 min') })
    const again = site.deps.storage.drafts.findByPath(tree)
    expect([again?.head.text?.includes('5 min'), again?.asides[0]?.text?.includes('6 min')]).toEqual([
      true,
      true,
    ])
    expect((await odo.post('/drafts/import', { text: 'no mark' })).status).toBe(400)
    expect((await odo.post('/drafts/import', { text: '@@@ ../../etc/passwd\nx' })).status).toBe(400)
  })
})

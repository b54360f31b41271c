import { randomUUID } from 'node:crypto'
import { beforeEach, describe, expect, it } from 'vitest'
import { verifyDatabase } from '../../../server/storage/safekeeping/verify.ts'
import { idsOf } from '../../../server/walk/known.ts'
import { type LateTablet, lateTablet } from '../../support/late-sending.ts'
import { makeSite, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'
import { attend, close, identify, report, restoreAll } from '../../support/walking.ts'

let site: Site
let wren: Visitor
let moss: Visitor
let fault: string
let reportedAt: string
let tablet: LateTablet

beforeEach(async () => {
  site = await makeSite({ env: { RATE_PER_MINUTE: '0' } })
  wren = await site.as('wren')
  moss = await site.as('moss')
  fault = await report(wren)
  reportedAt = site.deps.clock().toISOString()
  await attend(wren, fault)
  await identify(wren, fault)
  tablet = await lateTablet(site, wren)
})

const record = () => site.deps.storage.faults.get(fault)
const at = (path: string) => `/faults/${fault}/${path}`
const reading = (text: string) => ({ tree: 'dead', check: 'supply', how: 'reading', text })

const beforeStart = { seen: 'yes', spokenTo: 'panel 2', protection: 'line blocked', isolation: 'nothing' }

/** Another edition, in which the check is called otherwise. */
function publishWithout({ deps: { library, storage } }: Site, check: string): void {
  const current = library.current().id
  const files = library.files(current).map(file => ({
    ...file,
    text: file.text
      .replaceAll(`## ${check}\n`, `## ${check} again\n`)
      .replaceAll('#supply)', '#supply-again)'),
  }))
  storage.proposals.create({
    id: 'p',
    by: 'odo',
    baseEditionId: current,
    note: 'Renamed',
    files: [],
    writers: ['odo'],
  })
  library.publish(files, current, { id: 'p', by: 'odo', note: 'Renamed', proposalId: 'p' })
}

const takeOver = async () => {
  expect((await attend(moss, fault, { reason: 'Wren is out of reach' })).status).toBe(303)
}

describe('what arrives after the fault was taken over', () => {
  it('is in the record once, at the time it was done, and the fault stays with whoever has it', async () => {
    const act = tablet.does(at('findings'), reading('110'))
    const lead = tablet.does(at('disturbances'), { item: 'lead of fuse 3' })
    await takeOver()
    expect(await act.send()).toBeNull()
    expect(await lead.send()).toBeNull()
    const { findings, attendances } = record()
    expect(findings.map(({ id, by }) => [id, by])).toEqual([[act.id, 'wren']])
    expect(attendances.find(one => one.endedAt === null)?.personId).toBe('moss')
    expect(verifyDatabase(site.db).problems).toEqual([])
  })

  it('is told to both and to the engineer, with what it changes', async () => {
    const lead = tablet.does(at('disturbances'), { item: 'lead of fuse 3' })
    await takeOver()
    await lead.send()
    for (const who of ['wren', 'moss', 'isla'] as const) {
      const visitor = await site.as(who)
      expect((await visitor.get('/faults')).text).toContain('something arrived late from a tablet')
      const { text } = await visitor.get(at('record'))
      expect(text).toContain('Arrived late')
      expect(text).toContain('Moss Tarrick had recorded something here that was not on this tablet.')
      expect(text).toContain('Nobody is on record to have put it back: lead of fuse 3.')
    }
    expect((await (await site.as('rue')).get('/faults')).text).not.toContain('something arrived late')
  })
})

describe('what arrives after the fault was closed', () => {
  const lateLead = () => tablet.does(at('disturbances'), { item: 'lead of fuse 3' })

  async function closedByMoss(): Promise<void> {
    await takeOver()
    await restoreAll(moss, fault)
    const { status } = await close(moss, fault, 'Moss Tarrick', { outcome: 'not completed' })
    expect(status).toBe(303)
    expect(record().closure?.by).toBe('moss')
  }

  it('stands apart, with what it would change; the signed record stays as it was signed', async () => {
    const lead = lateLead()
    await closedByMoss()
    const before = idsOf(record())
    expect(await lead.send()).toContain('closed')
    expect(idsOf(record())).toEqual(before)
    const { text } = await moss.get(at('record'))
    expect(text).toContain('Stands apart, and is not part of the record')
    expect(text).toContain('Nobody is on record to have put it back: lead of fuse 3.')
    expect(verifyDatabase(site.db).problems).toEqual([])
  })

  it('says nothing is left where the same tablet put it back', async () => {
    const id = randomUUID()
    const lead = tablet.does(at('disturbances'), { id, item: 'lead of fuse 3' })
    const back = tablet.does(at('restorations'), { itemKey: `item:${id}`, how: 'restored' })
    await closedByMoss()
    expect(await lead.send()).toContain('closed')
    expect(await back.send()).toBeTruthy()
    expect((await moss.get(at('record'))).text).not.toContain('Nobody is on record to have put it back')
  })
})

describe('an edition that was replaced or withdrawn meanwhile', () => {
  it('takes a fault that was reported and walked on it without signal', async () => {
    const edition = site.deps.library.current().id
    const id = randomUUID()
    const said = { noticed: 'Dark', reportedBy: 'panel 2', protection: 'kept' }
    const acts = [
      tablet.does('/faults', { id, position: 'up', tree: 'dead', ...said }),
      tablet.does(`/faults/${id}/attendances`, beforeStart),
      tablet.does(`/faults/${id}/identity`, { typed: 'WH-3-U' }),
      tablet.does(`/faults/${id}/findings`, reading('110')),
    ]
    publishWithout(site, 'Supply')
    site.deps.storage.publications.withdrawTree({ id: 'w', tree: 'dead', by: 'odo', words: 'misleads' })
    for (const act of acts) expect(await act.send()).toBeNull()
    const { fault, findings } = site.deps.storage.faults.get(id)
    expect(fault.editionId).toBe(edition)
    expect(findings).toHaveLength(1)
  })
})

describe('a signature without signal', () => {
  it('stands for what was signed, and says so where the record had more', async () => {
    const form = {
      ...{ id: randomUUID(), changed: 'nothing', words: 'as recorded' },
      outcome: 'not completed',
    }
    const signed = { ...form, signatureId: randomUUID(), printedName: 'Wren Aldous' }
    const closing = tablet.does(at('closure'), signed)
    // Another tablet, whose copy is older than her visit, had the fault beside hers, and its entries arrive first.
    const other = await lateTablet(site, moss)
    other.copiedAt = reportedAt
    const attended = other.does(at('attendances'), beforeStart)
    const lead = other.does(at('disturbances'), { item: 'lead of fuse 3' })
    await attended.send()
    await lead.send()
    expect(await closing.send()).toBeNull()
    const [signature] = record().signatures
    expect(signature?.unseen).toContain(lead.id)
    const { text } = await wren.get(at('record'))
    expect(text).toContain('The signature stands for what was signed: entries of Moss Tarrick')
    expect(verifyDatabase(site.db).problems).toEqual([])
  })
})

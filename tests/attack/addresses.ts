import { randomUUID } from 'node:crypto'
import type { Route } from '../../server/web/routes.ts'
import { makeSite, type Site } from '../support/site.ts'
import { attend, find, report } from '../support/walking.ts'

export interface Target {
  site: Site
  /** A fault in Wren Aldous's hand, with one finding. */
  fault: string
  /** The address of a route with everything it names really there. */
  addressOf(route: Route): string
}

/** A site with something behind every kind of address; the limit on requests is off. */
export async function makeTarget(env: Record<string, string> = {}): Promise<Target> {
  const site = await makeSite({ env: { RATE_PER_MINUTE: '0', ...env } })
  const wren = await site.as('wren')
  const fault = await report(wren)
  await attend(wren, fault)
  await find(wren, fault, 'supply', '110')
  const finding = site.deps.storage.faults.get(fault).findings[0]?.id ?? ''
  const handover = randomUUID()
  await wren.post(`/faults/${fault}/handovers`, { id: handover, nextStep: 'go on', words: 'end of shift' })
  const { instruments } = site.deps.storage
  instruments.create({ id: 'meter', kind: 'multimeter', serial: 'T-1', functions: [], calibrationDue: null })
  const known: Record<string, string> = {
    ...{
      fault,
      finding,
      handover,
      position: 'up',
      site: 'site',
      person: 'moss',
      tree: 'dead',
      check: 'supply',
      tablet: 'other',
      instrument: 'meter',
      calculator: 'loop-resistance',
    },
    ...(await knowledgeTarget(site, fault)),
  }
  return {
    site,
    fault,
    addressOf: ({ path }) => path.replace(/:(\w+)/g, (_, name: string) => known[name] ?? 'unknown'),
  }
}

/** A draft with a text beside it, a proposal, a report with an answer, and a replay. */
async function knowledgeTarget(site: Site, fault: string): Promise<Record<string, string>> {
  const { drafts, proposals, reports } = site.deps.storage
  const edition = site.deps.library.current().id
  const text = site.deps.library.files(edition).find(file => file.path === 'trees/dead.md')?.text ?? ''
  const made = { path: 'trees/dead.md', baseEditionId: edition, by: 'odo', textId: 'text', text }
  const draft = drafts.begin({ ...made, id: 'draft' })
  const typed = {
    draftId: draft.id,
    by: 'odo',
    pause: false,
    text: text.replace('- Takes: 3 min', '- Takes: 4 min'),
  }
  drafts.save({ ...typed, id: 'typed', over: 'text' })
  drafts.save({ ...typed, id: 'aside', over: 'text' })
  const files = [{ path: made.path, draftId: draft.id, text: typed.text }]
  proposals.create({
    id: 'proposal',
    by: 'odo',
    baseEditionId: edition,
    note: 'Longer',
    files,
    writers: ['odo'],
  })
  const said = { tree: 'dead', check: 'supply', kind: 'wrong or unclear', words: 'which?' } as const
  reports.add({ ...said, id: 'report', faultId: fault, editionId: edition, by: 'wren' })
  reports.answer({ id: 'answer', reportId: 'report', by: 'odo', words: 'the left one' })
  const { location } = await (await site.as('odo')).post('/drafts/draft/replays', {})
  const replay = location.slice('/replays/'.length)
  const file = { folder: 'trees', name: 'dead.md' }
  return {
    draft: draft.id,
    proposal: 'proposal',
    report: 'report',
    answer: 'answer',
    edition,
    replay,
    ...file,
  }
}

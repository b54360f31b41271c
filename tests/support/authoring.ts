import type { Site } from './site.ts'

/**
 * A draft with a text beside it, a proposal, a report with an answer, and a replay, by the names addresses give them.
 * `fault` is one of Wren Aldous's.
 */
export async function knowledgeTarget(site: Site, fault: string): Promise<Record<string, string>> {
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
    kind: 'small-transmitter',
    ...file,
  }
}

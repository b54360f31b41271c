import type { TrailEntry } from '../../storage/storage.ts'
import type { Deps } from '../deps.ts'
import { page } from '../host/answer.ts'
import type { Request } from '../host/request.ts'

const PAGE = 100

/** Who did what, when and from which tablet, newest first. */
export const index = (deps: Deps) => (req: Request) => {
  const beforeSeq = Number(req.query.before)
  const from = Number.isSafeInteger(beforeSeq) && beforeSeq > 0 ? { before: beforeSeq } : {}
  const entries = deps.storage.trail.list({ limit: PAGE, ...from })
  const oldest = entries.at(-1)?.seq ?? 1
  return page('people/trail', {
    title: 'The trail',
    desk: true,
    back: { href: '/people', text: 'People' },
    entries: trailTable(entries.map(entry => ({ ...entry, words: wordsOf(entry.old, entry.new) }))),
    older: oldest > 1 ? `/trail?before=${oldest}` : null,
    head: shortHash(deps.storage.trail.head()),
  })
}

/** `role: technician → author` */
function wordsOf(old: string | null, after: string | null): string {
  const oldValues = JSON.parse(old ?? '{}') as Record<string, unknown>
  const now = JSON.parse(after ?? '{}') as Record<string, unknown>
  const names = [...new Set([...Object.keys(oldValues), ...Object.keys(now)])]
  return names
    .map(name => `${name}: ${name in oldValues ? `${oldValues[name]} → ` : ''}${now[name] ?? 'nothing'}`)
    .join('; ')
}

/** The trail as the data-table partial takes it; `words`: old and new of each entry. */
function trailTable(entries: (TrailEntry & { words: string })[]) {
  const heads = ['Number', 'When (UTC)', 'Who', 'Tablet', 'What', 'Old and new']
  return {
    caption: 'Entries, newest first',
    captionHidden: true,
    columns: heads.map(text => ({ text })),
    rows: entries.map(entry => ({
      cells: [
        { text: String(entry.seq) },
        { text: entry.at },
        { text: entry.personName || 'nobody signed in' },
        { text: entry.tabletName || 'none' },
        { text: `${entry.what}: ${entry.subject}`, note: entry.key },
        { text: entry.words },
      ],
    })),
    empty: 'Nothing is on record.',
  }
}

/** The newest entry with as much of its hash as is read out. */
function shortHash(head: { seq: number; hash: string } | null) {
  return head && { seq: head.seq, hash: head.hash.slice(0, 16) }
}

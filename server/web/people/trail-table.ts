import type { TrailEntry } from '../../storage/storage.ts'

/** The trail as the data-table partial takes it; `words`: old and new of each entry. */
export function trailTable(entries: (TrailEntry & { words: string })[]) {
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
export function shortHash(head: { seq: number; hash: string } | null) {
  return head && { seq: head.seq, hash: head.hash.slice(0, 16) }
}

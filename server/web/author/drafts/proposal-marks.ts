import type { Draft, Proposal } from '../../../storage/storage.ts'
import type { Mark } from '../../partials.ts'

/** How a proposal stands, in a word. */
export const stateMarks: Record<Proposal['state'], Mark> = {
  waiting: { kind: 'waiting', word: 'to be read by another person' },
  approved: { kind: 'done', word: 'approved' },
  'sent back': { kind: 'struck', word: 'sent back' },
  'taken back': { kind: 'struck', word: 'taken back' },
  published: { kind: 'done', word: 'published' },
}

/** A draft to be chosen for a proposal; `trouble`: why it can't be proposed, null when it can. */
export function draftChoice({ id, path }: Draft, trouble: string | null) {
  return { value: id, label: path, hint: trouble || 'ready', mark: trouble ? 'caution' : 'done' }
}

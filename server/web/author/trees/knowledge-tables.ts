// The tables of the page of fault trees: what is proposed, being written and in use, and where the folder
// differs.

import type { Problem } from '../../../knowledge/problem.ts'
import type { Equipment, FaultTree } from '../../../knowledge/types.ts'
import type { Draft, Proposal } from '../../../storage/storage.ts'
import type { Times } from '../../../times.ts'
import { columns, type Mark, numbers, row, type Table, type TableCell } from '../../partials.ts'

export function proposalsTable(proposals: Proposal[], times: Times): Table {
  return {
    caption: 'Waiting for somebody to read or publish them',
    columns: columns('Proposal', 'Files', 'By', 'State'),
    rows: proposals.map(one =>
      row(
        { text: one.note, href: `/proposals/${one.id}` },
        one.files.map(file => file.path).join(', '),
        { text: one.writers.map(writer => writer.name).join(', '), note: times.moment(one.at) },
        { mark: proposalMark(one) },
      ),
    ),
  }
}

function proposalMark({ state }: Proposal): Mark {
  return state === 'approved'
    ? { kind: 'done', word: 'approved, not yet published' }
    : { kind: 'waiting', word: 'to be read by another person' }
}

export function draftsTable(drafts: Draft[], times: Times): Table {
  return {
    caption: 'Being written',
    columns: columns('File', 'Last kept', 'State'),
    rows: drafts.map(one =>
      row(
        { text: one.path, href: `/drafts/${one.id}` },
        { text: times.moment(one.head.at), note: one.head.byName },
        { mark: draftMark(one) },
      ),
    ),
  }
}

function draftMark({ asides, head }: Draft): Mark {
  if (asides.length > 0) return { kind: 'caution', word: 'two texts to settle' }
  return { kind: 'open', word: head.text === null ? 'to be taken out' : 'being written' }
}

export interface TreeState {
  tree: FaultTree
  state: Mark
  draft: Draft | null
}

/** `reads`: the visitor may see drafts. */
export function treesTable(trees: TreeState[], reads: boolean, times: Times): Table {
  return {
    caption: 'Trees in use',
    columns: columns('Tree', 'Equipment', 'Symptom', numbers('Checks'), 'State', ...(reads ? ['Draft'] : [])),
    rows: trees.map(({ tree, state, draft }) =>
      row(
        { text: tree.title, href: `/knowledge/${tree.slug}` },
        tree.equipment.replaceAll('-', ' '),
        tree.symptom,
        tree.checks.size,
        { mark: state, note: tree.reviewBy ? `review by ${times.day(tree.reviewBy)}` : 'no review date' },
        ...(reads ? [draft ? openDraft(draft) : '–'] : []),
      ),
    ),
  }
}

/** `writes`: the visitor may begin a draft. */
export function equipmentTable(equipment: Equipment[], drafts: Draft[], writes: boolean): Table {
  const draftCell = (path: string) => {
    const draft = drafts.find(one => one.path === path)
    return draft ? openDraft(draft) : beginDraft(path, 'use')
  }
  return {
    caption: 'Equipment in use',
    columns: columns(
      'Equipment',
      numbers('Terminals'),
      numbers('Limits'),
      numbers('Causes'),
      ...(writes ? ['Draft'] : []),
    ),
    rows: equipment.map(kit =>
      row(
        { text: kit.name, note: kit.source.path },
        kit.terminals.length,
        kit.limits.length,
        kit.causes.size,
        ...(writes ? [draftCell(kit.source.path)] : []),
      ),
    ),
  }
}

/** Files that are not the same on disk and in use. */
export function differencesTable(differences: { path: string; how: string }[], writes: boolean): Table {
  return {
    caption: 'Files that differ',
    columns: columns('File', 'How', ...(writes ? ['What to do'] : [])),
    rows: differences.map(({ path, how }) =>
      row(
        path,
        { mark: { kind: how === 'changed in both' ? 'caution' : 'open', word: how } },
        ...(writes ? [how === 'only in use' ? '–' : beginDraft(path, 'disk')] : []),
      ),
    ),
  }
}

function openDraft({ id }: Draft): TableCell {
  return { text: 'open', href: `/drafts/${id}` }
}

function beginDraft(path: string, from: 'use' | 'disk'): TableCell {
  return { draft: { path, from } }
}

export function problemsTable(problems: Problem[]): Table {
  return {
    caption: `${problems.length} ${problems.length === 1 ? 'problem' : 'problems'}`,
    columns: columns('Where', 'Problem', 'How to mend it'),
    rows: problems.map(({ source, severity, found, expected, code, mend }) =>
      row(
        {
          text: `${source.path}:${source.line}`,
          mark: { kind: severity === 'error' ? 'out' : 'close', word: severity },
        },
        { text: `${found} ${expected}`, note: code },
        mend,
      ),
    ),
  }
}

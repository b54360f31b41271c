// A draft looked at in other ways: drawn, as a table, as a file, its example runs.

import { AppError } from '../../../errors.ts'
import { coverageOf, type TreeCoverage } from '../../../knowledge/coverage.ts'
import { writeBundle } from '../../../knowledge/editions/bundle.ts'
import { runExample, titleOf } from '../../../knowledge/examples.ts'
import type { Example, FaultTree, Knowledge } from '../../../knowledge/types.ts'
import type { Draft } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { download, page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { columns, numbers, row, type Table, type TableCell, type TableRow } from '../../partials.ts'
import { drawingPage, tablePage } from '../trees/tree-page.ts'
import { type Checked, checkDraft, slugOf } from './workbench.ts'

export const drawing = (deps: Deps) => (req: Request) => {
  const { draft, checked, tree } = draftTree(deps, req)
  const back = { href: `/drafts/${draft.id}`, text: 'The draft' }
  const setting = { base: `/drafts/${draft.id}`, of: 'draft', back }
  return drawingPage(checked.knowledge, tree, setting, { zoom: req.query.zoom, walk: null, fault: null })
}

export const table = (deps: Deps) => (req: Request) => {
  const { draft, checked, tree } = draftTree(deps, req)
  const back = { href: `/drafts/${draft.id}`, text: 'The draft' }
  const none = { withdrawn: null, reads: false, writes: false, withdraws: false }
  return tablePage(checked.knowledge, tree, { ...none, base: `/drafts/${draft.id}`, of: 'draft', back })
}

/** Each example run with where it came to, and the rows that none of them takes. */
export const examples = (deps: Deps) => (req: Request) => {
  const { draft, checked, tree } = draftTree(deps, req)
  const { knowledge } = checked
  return page('author/drafts/examples', {
    title: `Example runs of ${tree.title}`,
    desk: true,
    back: { href: `/drafts/${draft.id}`, text: 'The draft' },
    runs: runsTable(knowledge, tree, draft.id),
    untried: untriedTable(
      coverageOf(knowledge).trees.find(one => one.tree === tree.slug)?.untried ?? [],
      draft.id,
    ),
  })
}

const markdown = 'text/markdown; charset=utf-8'

export const file = (deps: Deps) => (req: Request) => {
  const draft = deps.storage.drafts.get(String(req.params.draft))
  return download(`${slugOf(draft.path)}.md`, markdown, draft.head.text ?? '')
}

/** All files of an edition as one text. */
export const bundle = (deps: Deps) => (req: Request) => {
  const files = filesOf(deps, req)
  return download(`knowledge-${String(req.params.edition).slice(0, 8)}.txt`, markdown, writeBundle(files))
}

/** One file of an edition as it was published. */
export const editionFile = (deps: Deps) => (req: Request) => {
  const file = filesOf(deps, req).find(one => one.path === `${req.params.folder}/${req.params.name}`)
  if (!file) throw new AppError('not found', 'This edition has no such file.')
  return download(String(req.params.name), markdown, file.text)
}

function filesOf(deps: Deps, req: Request) {
  const files = deps.library.files(String(req.params.edition))
  if (files.length === 0) throw new AppError('not found', 'There is no such edition.')
  return files
}

/** The draft of an address with its tree as it stands. 'not found' when it is no tree, or none can be made of it yet. */
export function draftTree(deps: Deps, req: Request): { draft: Draft; checked: Checked; tree: FaultTree } {
  const draft = deps.storage.drafts.get(String(req.params.draft))
  const checked = checkDraft(deps, draft, draft.head.text)
  if (!checked.tree)
    throw new AppError(
      'not found',
      'There is no tree in this draft yet: it wants a title, its equipment and a start.',
    )
  return { draft, checked, tree: checked.tree }
}

/** Each example run of a draft's tree with where it came to. */
function runsTable(knowledge: Knowledge, tree: FaultTree, draftId: string): Table {
  return {
    caption: 'Runs',
    columns: columns(numbers('Line'), 'Way', 'Should end at', 'Does it?'),
    rows: tree.examples.map(example => runRow(knowledge, tree, example, draftId)),
    empty: 'No example run is written yet.',
  }
}

function runRow(knowledge: Knowledge, tree: FaultTree, example: Example, draftId: string): TableRow {
  const { path, wrong } = runExample(knowledge, tree, example)
  return row(
    lineCell(example.source.line, draftId),
    path.map(step => `${step.check.title}: ${step.row.label}`).join(' → '),
    titleOf(knowledge, example.expected),
    wrong ? { mark: { kind: 'out', word: 'no' }, note: wrong.words } : { mark: { kind: 'in', word: 'yes' } },
  )
}

/** Rows of the tree that no example takes. */
function untriedTable(untried: TreeCoverage['untried'], draftId: string): Table {
  return {
    caption: `${untried.length} rows`,
    columns: columns('Check', 'Row', numbers('Line')),
    rows: untried.map(one => row(one.check, one.row, lineCell(one.source.line, draftId))),
  }
}

function lineCell(line: number, draftId: string): TableCell {
  return { text: line, href: `/drafts/${draftId}#line-${line}` }
}

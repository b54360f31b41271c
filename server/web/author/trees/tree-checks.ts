import { titleOf } from '../../../knowledge/examples.ts'
import { renderMarkdown } from '../../../knowledge/render.ts'
import type { Check, FaultTree, Knowledge, Target } from '../../../knowledge/types.ts'
import { columns, row, type Table, type TableCell } from '../../partials.ts'
import { shownCaution } from '../../shown-caution.ts'

/** The checks of a tree as they are read by those who don't read files. */
export function shownChecks(knowledge: Knowledge, tree: FaultTree) {
  return [...tree.checks.values()].map(check => ({
    slug: check.slug,
    title: check.title,
    cautions: check.cautions.map(shownCaution),
    instruction: renderMarkdown(check.instruction),
    summary: summaryOf(check),
    rows: rowsTable(knowledge, tree, check),
  }))
}

/** The places a tree ends at without a cause. */
export function shownEnds(tree: FaultTree) {
  return [...tree.ends.values()].map(({ slug, title, about }) => ({
    slug,
    title,
    about: renderMarkdown(about),
  }))
}

function summaryOf(check: Check): string {
  const { does, minutes, disturbs } = check
  return [
    doesWords(check),
    ...(does.between.length > 0 ? [`between ${does.between.join(' and ')}`] : []),
    ...(minutes === null ? [] : [`${minutes} min`]),
    ...(disturbs ? [`disturbs ${disturbs}`] : []),
  ].join(' · ')
}

function doesWords({ does }: Check): string {
  if (does.kind !== 'measure') return `Looks at ${does.what}`
  const { quantity, expectText, from } = does
  return `Measures ${quantity}, expects ${expectText || 'no limit given'} (${from || 'no source'})`
}

function rowsTable(knowledge: Knowledge, tree: FaultTree, { title, rows }: Check): Table {
  return {
    caption: `Rows of ${title}`,
    captionHidden: true,
    columns: columns('Finding', 'Means', 'Next'),
    rows: rows.map(one => row(one.label, one.means, nextCell(knowledge, tree, one.next))),
  }
}

/** A cause has no place on the page; checks and ends of other trees are on their own. */
function nextCell(knowledge: Knowledge, tree: FaultTree, next: Target): TableCell {
  const title = titleOf(knowledge, next)
  if (next.kind === 'cause') return { text: `Cause: ${title}` }
  const page = next.tree === tree.slug ? '' : `/knowledge/${next.tree}`
  return { text: title, href: `${page}#${next.kind === 'check' ? next.check : next.end}` }
}

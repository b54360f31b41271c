import { titleOf } from '../../../knowledge/examples.ts'
import { renderMarkdown } from '../../../knowledge/render.ts'
import type { Check, FaultTree, Knowledge, Target } from '../../../knowledge/types.ts'
import type { Walk } from '../../../walk/place.ts'
import { page } from '../../host/answer.ts'
import { columns, row, type Table, type TableCell } from '../../partials.ts'
import { shownCaution } from '../../shown-caution.ts'
import { drawingClasses, pictureOf, zoomOf, zooms } from './tree-picture.ts'

/** Where a tree is looked at: in use, or as a draft. */
export interface Setting {
  /** Address of its pages, without a slash at the end. */
  base: string
  /** "in use", "draft" */
  of: string
  back: { href: string; text: string }
}

/** One tree as a table, for those who don't read files. */
export function tablePage(knowledge: Knowledge, tree: FaultTree, locals: Record<string, unknown>) {
  return page('author/trees/tree', {
    title: tree.title,
    desk: true,
    tree,
    about: renderMarkdown(tree.about),
    equipmentName: knowledge.equipment.get(tree.equipment)?.name ?? tree.equipment,
    cautions: tree.cautions.map(shownCaution),
    checks: shownChecks(knowledge, tree),
    ends: shownEnds(tree),
    ...locals,
  })
}

/** The drawn tree with its zooms; a walk's way is drawn on it when one is given. */
export function drawingPage(
  knowledge: Knowledge,
  tree: FaultTree,
  { base, of, back }: Setting,
  { zoom, walk, fault }: { zoom: unknown; walk: Walk | null; fault: string | null },
) {
  const keep = fault ? `&fault=${encodeURIComponent(fault)}` : ''
  const tableBase = of === 'draft' ? `${base}/table` : base
  const picture = pictureOf(knowledge, tree, {
    zoom: zoomOf(zoom),
    walk,
    hrefOf: check => `${tableBase}#${check.slug}`,
  })
  const visited = new Set(
    (walk?.path ?? []).flatMap(step => (step.kind === 'check' ? [step.check.tree] : [])),
  )
  return page('author/drafts/drawing', {
    title: `${tree.title}, drawn`,
    desk: true,
    tree,
    of,
    back,
    fault,
    picture: picture && { svg: picture.svg, classes: drawingClasses(picture) },
    zooms: ['fit', ...zooms].map(size => ({
      href: `${base}/drawing?zoom=${size}${keep}`,
      text: size === 'fit' ? 'Whole' : `${size} %`,
      current: String(zoom ?? 'fit') === String(size),
    })),
    others: [...visited]
      .filter(slug => slug !== tree.slug)
      .map(slug => ({ slug, title: knowledge.trees.get(slug)?.title })),
  })
}

/** The checks of a tree as they are read by those who don't read files. */
function shownChecks(knowledge: Knowledge, tree: FaultTree) {
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
function shownEnds(tree: FaultTree) {
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
    ...(does.between.length > 0
      ? [`${does.clamp ? 'round the wire at' : 'between'} ${does.between.join(' and ')}`]
      : []),
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
  const treeAddress = next.tree === tree.slug ? '' : `/knowledge/${next.tree}`
  return { text: title, href: `${treeAddress}#${next.kind === 'check' ? next.check : next.end}` }
}

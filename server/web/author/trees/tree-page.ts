import { renderMarkdown } from '../../../knowledge/render.ts'
import type { FaultTree, Knowledge } from '../../../knowledge/types.ts'
import type { Walk } from '../../../walk/place.ts'
import { page } from '../../host/answer.ts'
import { shownCaution } from '../../shown-caution.ts'
import { shownChecks, shownEnds } from './tree-checks.ts'
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

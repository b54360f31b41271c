import { drawTree, type TreePicture } from '../../../charts/tree-drawing.ts'
import type { DrawnCheck, DrawnTarget } from '../../../charts/tree-shape.ts'
import { titleOf } from '../../../knowledge/examples.ts'
import { refKey, refOf, targetKey } from '../../../knowledge/graph.ts'
import type { Check, FaultTree, Knowledge, Row, Target } from '../../../knowledge/types.ts'
import type { Walk } from '../../../walk/place.ts'

export interface PictureOptions {
  zoom?: number | null
  /** A walk whose way is drawn on it. */
  walk?: Walk | null
  /** Where a check's box leads; null for nowhere. */
  hrefOf?: (check: Check) => string | null
}

/**
 * A tree of the knowledge as a picture. Checks of other trees are named beside the rows that lead to them. Null for a
 * tree larger than anybody could read.
 */
export function pictureOf(
  knowledge: Knowledge,
  tree: FaultTree,
  options: PictureOptions = {},
): TreePicture | null {
  const { walk = null, zoom, hrefOf = check => `#${check.slug}` } = options
  const rows = [...tree.checks.values()].reduce((sum, check) => sum + check.rows.length, 0)
  if (tree.checks.size > mostChecks || rows > mostRows) return null
  const checks = inOrder(tree).map((check, n) => drawnCheck(knowledge, tree, check, n + 1, walk, hrefOf))
  return drawTree(checks, { id: `tree-${tree.slug}`, title: `${tree.title}, drawn`, zoom })
}

const mostChecks = 800
const mostRows = 5000

/** How the page of a drawing lays it out: a wide one lies on its side when printed. */
export function drawingClasses({ width, height }: TreePicture): string {
  return `desk-drawing desk-drawing--page${width > height ? ' desk-drawing--wide' : ''}`
}

/** The start first, then as written. */
export function inOrder(tree: FaultTree): Check[] {
  const checks = [...tree.checks.values()]
  const isStart = (check: Check) => check.slug === tree.start.check && tree.start.tree === tree.slug
  return [...checks.filter(isStart), ...checks.filter(check => !isStart(check))]
}

/** A zoom asked for in an address: a part of 1, or null for the width of the page. */
export function zoomOf(text: unknown): number | null {
  const percent = Number(text)
  return zooms.includes(percent) ? percent / 100 : null
}

export const zooms = [50, 75, 100, 150]

function drawnCheck(
  knowledge: Knowledge,
  tree: FaultTree,
  check: Check,
  number: number,
  walk: Walk | null,
  hrefOf: NonNullable<PictureOptions['hrefOf']>,
): DrawnCheck {
  const { does } = check
  const steps = stepsAt(walk, check)
  const here = walk?.place.kind === 'check' && refKey(refOf(walk.place.check)) === refKey(refOf(check))
  return {
    id: check.slug,
    number,
    title: check.title,
    minutes: check.minutes,
    line: check.source.line,
    does: does.kind === 'measure' ? `measures ${does.quantity}` : `looks at ${does.what}`,
    disturbs: check.disturbs !== null,
    href: hrefOf(check),
    state: here ? 'here' : steps.length > 0 ? 'done' : 'open',
    rows: check.rows.map(row => ({
      label: row.label,
      target: drawnTarget(knowledge, tree, row.next),
      taken: steps.some(taken => taken === row.label),
    })),
  }
}

/** Labels of the rows the walk took at a check. */
function stepsAt(walk: Walk | null, check: Check): (Row['label'] | null)[] {
  return (walk?.path ?? []).flatMap(step =>
    step.kind === 'check' && refKey(refOf(step.check)) === refKey(refOf(check))
      ? [step.row?.label ?? null]
      : [],
  )
}

function drawnTarget(knowledge: Knowledge, tree: FaultTree, target: Target): DrawnTarget {
  const words = titleOf(knowledge, target)
  if (target.kind === 'cause') return { kind: 'cause', id: targetKey(target), words, href: null }
  if (target.kind === 'end') return { kind: 'end', id: targetKey(target), words, href: null }
  if (target.tree === tree.slug)
    return { kind: 'check', id: target.check, words: `to ${words}`, href: `#${target.check}` }
  const other = knowledge.trees.get(target.tree)?.title ?? target.tree
  const href = `/knowledge/${target.tree}/drawing`
  return { kind: 'other tree', id: targetKey(target), words: `${words} (in ${other})`, href }
}

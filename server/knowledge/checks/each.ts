import type { Section } from '../read/document.ts'
import type { TreeDraft } from '../read/draft.ts'
import { equipmentOf } from '../read/names.ts'
import type { Check, Equipment } from '../types.ts'
import type { GraphContext, LinkContext } from './context.ts'
import { isIncomparable } from './incomparable.ts'
import { MOST_ROWS } from './table-too-long.ts'

/** Each check's section with its tree and the equipment it is written for; trees without known equipment are passed over. */
export function eachSection(context: LinkContext): { draft: TreeDraft; kit: Equipment; section: Section }[] {
  return context.drafts.trees.flatMap(draft => {
    const kit = context.equipment.get(equipmentOf(context.names, draft)?.doc.slug ?? '')
    return kit ? draft.checks.map(section => ({ draft, kit, section })) : []
  })
}

/** Each linked check with its section. */
export function eachCheck(context: GraphContext): { draft: TreeDraft; section: Section; check: Check }[] {
  return context.drafts.trees.flatMap(draft =>
    draft.checks.flatMap(section => {
      const check = context.knowledge.trees.get(draft.doc.slug)?.checks.get(section.slug)
      return check && check.source.line === section.line ? [{ draft, section, check }] : []
    }),
  )
}

/** As `eachCheck`, without those whose rows can't be judged: one was lost on the way, there are too many, or bands don't compare. */
export function eachWholeCheck(context: GraphContext) {
  return eachCheck(context).filter(
    ({ section, check }) =>
      check.rows.length <= MOST_ROWS &&
      check.rows.length === (section.tables[0]?.rows.length ?? 0) &&
      !check.rows.some(row => isIncomparable(check, row)),
  )
}

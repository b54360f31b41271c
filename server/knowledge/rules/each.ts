import { memo } from '../../cache.ts'
import type { Section } from '../read/document.ts'
import type { TreeDraft } from '../read/draft.ts'
import { equipmentOf } from '../read/names.ts'
import type { Check, Equipment } from '../types.ts'
import type { GraphContext, LinkContext } from './context.ts'
import { isIncomparable } from './incomparable.ts'
import { type TakenPiece, takenPieces } from './readings.ts'
import { MOST_ROWS } from './table-too-long.ts'

/**
 * Each check's section with its tree and the equipment it is
 * written for; trees without known equipment are passed over.
 */
export const eachSection = memo(
  (context: LinkContext): { draft: TreeDraft; kit: Equipment; section: Section }[] =>
    context.drafts.trees.flatMap(draft => {
      const kit = context.equipment.get(equipmentOf(context.names, draft)?.doc.slug ?? '')
      return kit ? draft.checks.map(section => ({ draft, kit, section })) : []
    }),
)

interface CheckAt {
  draft: TreeDraft
  section: Section
  check: Check
}

/** Each linked check with its section. */
export const eachCheck = memo((context: GraphContext): CheckAt[] =>
  context.drafts.trees.flatMap(draft =>
    draft.checks.flatMap(section => {
      const check = context.knowledge.trees.get(draft.doc.slug)?.checks.get(section.slug)
      return check && check.source.line === section.line ? [{ draft, section, check }] : []
    }),
  ),
)

/**
 * As `eachCheck`, with what each can find and which rows take it. Left out are those whose rows can't be
 * judged: one was lost on the way, there are too many, or bands don't compare.
 */
export const eachWholeCheck = memo((context: GraphContext): (CheckAt & { pieces: TakenPiece[] })[] =>
  eachCheck(context)
    .filter(({ section, check }) => isWhole(section, check))
    .map(at => ({ ...at, pieces: takenPieces(at.check) })),
)

function isWhole(section: Section, check: Check): boolean {
  if (check.rows.length > MOST_ROWS || check.rows.length !== section.tables[0]?.rows.length) return false
  return !check.rows.some(row => isIncomparable(check, row))
}

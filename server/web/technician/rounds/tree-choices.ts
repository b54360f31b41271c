import type { FaultTree } from '../../../knowledge/types.ts'
import type { Choice } from '../../partials.ts'

/** The rounds there are, by their titles. */
export function treeChoices(trees: FaultTree[]): Choice[] {
  return trees.map(({ slug, title, checks }) => ({
    value: slug,
    label: title,
    hint: `${checks.size} checks`,
  }))
}

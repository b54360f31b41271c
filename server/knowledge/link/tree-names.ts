import { memo } from '../../cache.ts'
import { expectationUnit } from '../../measurement/limits/expectation.ts'
import { nameKey } from '../../measurement/limits/formula.ts'
import { keyOf, type Section } from '../read/document.ts'
import type { TreeDraft } from '../read/draft.ts'
import type { Equipment } from '../types.ts'
import { expectOf, factNames } from './expectation.ts'

/**
 * What a formula in a tree may name, with its unit or `choice`: facts, and `reading of` each measuring check.
 */
export function treeNames(draft: TreeDraft, kit: Equipment): ReadonlyMap<string, string> {
  const ofTree = namesOf(draft)
  const names = ofTree.get(kit) ?? readNames(draft, kit)
  ofTree.set(kit, names)
  return names
}

const namesOf = memo((_draft: TreeDraft) => new Map<Equipment, ReadonlyMap<string, string>>())

function readNames(draft: TreeDraft, kit: Equipment): ReadonlyMap<string, string> {
  const facts = factNames(kit)
  const names = new Map(facts)
  for (const section of draft.checks) {
    const unit = measureUnit(section, kit, facts)
    if (unit) names.set(nameKey(`reading of ${section.title}`), unit)
  }
  return names
}

/**
 * The unit a check's readings have: its limit's, its own
 * range's, or the one the range's names give. Null: none.
 */
export function measureUnit(
  section: Section,
  kit: Equipment,
  names: ReadonlyMap<string, string>,
): string | null {
  if (!keyOf(section, 'Measure')) return null
  const expect = expectOf(keyOf(section, 'Expect')?.value ?? '', kit)
  if (expect.kind === 'limit') return expect.limit.unit || null
  return expect.kind === 'own' ? expectationUnit(expect.expectation, names) : null
}

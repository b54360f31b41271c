// What must be together for a proof to prove anything: which of the things disturbed bear on a check.

import type { Check, Equipment, FaultTree, Knowledge } from '../knowledge/types.ts'
import type { DisturbedItem } from './disturbed.ts'

/** The items that were disturbed at that moment (UTC, ISO 8601), the one named left out. */
export function disturbedAt(items: DisturbedItem[], at: string, except: string | null): DisturbedItem[] {
  return items.filter(({ key, since, state, restoration }) => {
    if (key === except || since > at || state === 'never disturbed') return false
    return !restoration || restoration.at > at
  })
}

/**
 * Those of the items that bear on what the check proves; on the symptom (`check` null) they all do. What the check
 * takes apart by itself does not. At a check that takes terminals apart, another item does not bear on it where the
 * item names terminals too and the knowledge names none of them beside one of the check's own. In doubt it does.
 */
export function bearingOn(
  knowledge: Knowledge,
  check: Check | null,
  items: DisturbedItem[],
): DisturbedItem[] {
  if (!check) return items
  const taken = partsOf(check.disturbs ?? '')
  const tree = knowledge.trees.get(check.tree)
  const equipment = tree && knowledge.equipment.get(tree.equipment)
  const own = equipment ? terminalsNamed(equipment, check.disturbs ?? '') : []
  return items.filter(({ item }) =>
    partsOf(item).some(part => {
      if (taken.includes(part)) return false
      const named = equipment && own.length > 0 ? terminalsNamed(equipment, part) : []
      return named.length === 0 || !equipment || joined(knowledge, equipment, own, named)
    }),
  )
}

/** "arming cores off A1 and A2, test load on": each thing by itself. */
function partsOf(disturbs: string): string[] {
  return disturbs
    .split(',')
    .map(part => part.trim().toLowerCase())
    .filter(part => part !== '')
}

function terminalsNamed(equipment: Equipment, words: string): string[] {
  const found = new Set(words.toUpperCase().split(/[^A-Z0-9]+/))
  return equipment.terminals.map(terminal => terminal.name).filter(name => found.has(name.toUpperCase()))
}

/** Whether a terminal of one list is one of the other, or some check of this equipment speaks of both. */
function joined(knowledge: Knowledge, equipment: Equipment, own: string[], others: string[]): boolean {
  const speaksOfBoth = (names: string[]) =>
    names.some(name => own.includes(name)) && names.some(name => others.includes(name))
  if (others.some(name => own.includes(name))) return true
  return treesOf(knowledge, equipment).some(tree =>
    [...tree.checks.values()].some(check =>
      speaksOfBoth([...check.does.between, ...terminalsNamed(equipment, check.disturbs ?? '')]),
    ),
  )
}

function treesOf(knowledge: Knowledge, equipment: Equipment): FaultTree[] {
  return [...knowledge.trees.values()].filter(tree => tree.equipment === equipment.slug)
}

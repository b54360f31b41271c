import type { Equipment, FaultTree, Knowledge } from '../../../knowledge/types.ts'
import type { Position } from '../../../storage/storage.ts'
import type { DisturbedItem } from '../../../walk/disturbed.ts'
import type { Walk } from '../../../walk/place.ts'
import type { Finding } from '../../../walk/record.ts'

/** A walk with everything computed from its record, on the edition it began with: at a fault, or on a round. */
export interface WalkInHand {
  /** Read anew when anything of it changes, so what follows from it can be remembered by it. */
  record: { findings: Finding[] }
  position: Position
  knowledge: Knowledge
  tree: FaultTree
  equipment: Equipment
  walk: Walk
  disturbed: DisturbedItem[]
}

import { AppError } from '../../../errors.ts'
import { findCheck } from '../../../knowledge/graph.ts'
import type { Check, CheckRef, Equipment, FaultTree, Knowledge } from '../../../knowledge/types.ts'
import type { Position } from '../../../storage/storage.ts'
import type { DisturbedItem } from '../../../walk/disturbed.ts'
import type { Walk } from '../../../walk/place.ts'
import type { Finding } from '../../../walk/record.ts'
import type { Request } from '../../host/request.ts'

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

/** The check in the edition the walk began with. Throws not found. */
export function checkOf({ knowledge }: WalkInHand, ref: CheckRef): Check {
  const check = findCheck(knowledge, ref)
  if (!check) throw new AppError('not found', 'There is no such check in the edition this walk began with.')
  return check
}

/** The check the address names. Throws not found. */
export function namedCheck(walk: WalkInHand, { params: { tree = '', check = '' } }: Request): Check {
  return checkOf(walk, { tree, check })
}

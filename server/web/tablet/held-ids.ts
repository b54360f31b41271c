import { AppError } from '../../errors.ts'
import { idsOf } from '../../walk/known.ts'
import type { Deps } from '../deps.ts'

/** Ids of all entries of a fault, as they stand here; none where there is no such fault. */
export function heldIds({ storage }: Pick<Deps, 'storage'>, faultId: string): string[] {
  try {
    return idsOf(storage.faults.get(faultId))
  } catch (error) {
    if (error instanceof AppError) return []
    throw error
  }
}

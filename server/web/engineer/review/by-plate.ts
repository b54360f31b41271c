import type { Position } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'

/** The position with this plate, whatever the capitals; null when there is none. */
export function byPlate({ storage }: Pick<Deps, 'storage'>, plate: string): Position | null {
  const same = (text: string) => text.toLowerCase() === plate.toLowerCase()
  return storage.positions.search(plate, 50).find(position => same(position.plate)) ?? null
}

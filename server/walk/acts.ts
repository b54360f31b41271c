// Where the next thing to do changes the equipment.

import type { Place } from './place.ts'

/** True at a check that takes something apart, and at a cause: mending, putting back and proving act on it. */
export function acts(place: Place): boolean {
  return place.kind === 'cause' || (place.kind === 'check' && place.check.disturbs !== null)
}

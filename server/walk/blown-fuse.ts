// A replaced fuse as a repair: a blown fuse is a symptom, so it counts only once what blew it is known.

import { fuseUnderLoad, refitCounts } from '../measurement/electrics/fuse.ts'
import { Impossible } from '../measurement/readings/impossible.ts'
import type { BlownFuse, Repair } from './record.ts'

/**
 * Why this repair proves no cause yet, or null. Only a replaced
 * fuse is asked; none on record counts as not answered.
 */
export function fuseUnanswered({ action, fuse }: Repair): string | null {
  if (action !== 'fuse replaced') return null
  const { counts, because } = refitCounts(fuse?.blownBy ?? null)
  return counts ? null : because
}

/** What blew it, and its load against its rating where both are known. */
export function fuseWords(fuse: BlownFuse): string {
  return [`What blew it: ${fuse.blownBy ?? 'not found yet'}.`, loadWords(fuse)].filter(Boolean).join(' ')
}

function loadWords({ rating, load, kind }: BlownFuse): string | null {
  if (rating === null || load === null) return null
  try {
    return fuseUnderLoad(rating, load, kind).because
  } catch (error) {
    if (error instanceof Impossible) return error.message
    throw error
  }
}

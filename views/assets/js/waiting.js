// What waits on this tablet to be sent, and a copy of it to carry away by hand.

import { namesFrom, person, recall } from './tablet.js'

/** @typedef {{ id: string, action: string, body: string, at: number, page: string, refused: boolean }} Write */

export const prefix = `outbox:${person}:`

const lateMs = 2 * 3600_000

/** @returns {Write[]} oldest first */
export const waiting = () =>
  namesFrom(prefix)
    .map(recall)
    .filter(Boolean)
    .sort((a, b) => a.at - b.at)

/** True when the oldest has waited so long that somebody should hear of it. @param {Write[]} all */
export const isLate = all => all[0] !== undefined && Date.now() - all[0].at > lateMs

/** Saves all that waits as a file in words, to be entered by hand. */
export function saveCopy() {
  const entries = waiting().map(({ id, at, action, page, body }) => ({
    ...{ typedAt: new Date(at).toISOString(), id, page, sendTo: action },
    fields: Object.fromEntries(new URLSearchParams(body)),
  }))
  const text = JSON.stringify({ person, savedAt: new Date().toISOString(), entries }, null, 2)
  const link = document.createElement('a')
  link.href = URL.createObjectURL(new Blob([text], { type: 'application/json' }))
  link.download = `not-sent-${new Date().toISOString().slice(0, 16).replace(':', '')}.json`
  link.click()
  URL.revokeObjectURL(link.href)
}

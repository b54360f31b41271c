import { durationWords } from '../words.ts'
import type { Past } from './past.ts'

const few = 90

/** What stands beside a figure when little of its window is known, or nothing of late. */
export function spanWords({ knownDays, knownUntilMs, asAtMs, window }: Past, behind: boolean): string[] {
  if (knownDays === 0) return ['No fault of this window is on record, so nothing can be said of it.']
  const words = behind
    ? ['More has come in since these figures were worked out, at the time that stands above.']
    : []
  if (knownUntilMs !== null && window.toMs === knownUntilMs) {
    const since = durationWords((asAtMs - knownUntilMs) / 86_400_000)
    words.push(`The record ends ${since} ago. Time since then is not known and counts for nothing.`)
  }
  if (knownDays < few) words.push(`Only ${durationWords(knownDays)} of this window are known.`)
  return words
}

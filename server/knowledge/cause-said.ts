// Words that say a cause, where only a finding is known.

import type { Cause, Equipment } from './types.ts'

const FAULT = /\b(?:at fault|faulty|defective|to blame|has failed|have failed|is the cause)\b/i

/** What of the text says a cause: its words, or the title of a cause of the equipment; null when nothing does. */
export function causeSaid(
  text: string,
  { causes }: Equipment,
): { words: string; cause: Cause | null } | null {
  const lower = text.toLowerCase()
  const named = [...causes.values()].find(cause => lower.includes(cause.title.toLowerCase()))
  if (named) return { words: named.title, cause: named }
  const [words] = FAULT.exec(text) ?? []
  return words ? { words, cause: null } : null
}

import type { Names } from '../../../review/names.ts'

/** How the pages of the review name things, and the window their links keep to. */
export interface ReviewWords {
  nameOf: Names
  /** Site and position. */
  place(positionId: string): string
  day(ms: number): string
  figureWords(value: number | string | null): string
  /** `query`: the window as it stands in an address, '' for the usual one. */
  asked: { query: string }
}

export function positionHref(id: string, { asked }: Pick<ReviewWords, 'asked'>): string {
  return `/review/positions/${id}${asked.query}`
}

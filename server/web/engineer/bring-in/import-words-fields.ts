import type { Words } from '../../../exchange/guess-meanings.ts'

interface Choice {
  value: string
  label: string
}

/** Words asked about one by one, and the rarer rest that share one answer. */
export interface Asked {
  first: Words[]
  rest: Words[]
}

const longestLabel = 160

/** What does each wording of a symptom mean? Left open, its rows stay out. */
export function symptomFields(asked: Asked, symptoms: Choice[]) {
  return wordFields('symptom', asked, [{ value: '', label: 'not chosen: leave these rows out' }, ...symptoms])
}

/** What does each wording of a cause mean? Left open, it is kept as text. Empty when the file has none. */
export function causeFields(asked: Asked, causes: Choice[]) {
  if (asked.first.length === 0) return []
  return wordFields('cause', asked, [{ value: '', label: 'keep as text' }, ...causes])
}

function wordFields(name: string, { first, rest }: Asked, options: Choice[]) {
  const base = { type: 'select', error: null, options }
  const fields = first.map((words, n) => ({
    ...base,
    name: `${name}${n}`,
    label: words.text.slice(0, longestLabel),
    hint: words.count === 1 ? 'in one row' : `in ${words.count} rows`,
    value: words.guess || '',
  }))
  if (rest.length === 0) return fields
  const label = `Each of the ${rest.length} rarer wordings that nothing is near to`
  return [...fields, { ...base, name: `${name}-others`, label, value: '' }]
}

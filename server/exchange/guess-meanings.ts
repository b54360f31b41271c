import type { Knowledge } from '../knowledge/types.ts'
import { nothingFound } from './ready-rows.ts'
import { bare } from './subjects.ts'

/**
 * Words of the file, how often they stand there, and what they most likely mean; null where nothing is near.
 */
export interface Words {
  text: string
  count: number
  guess: string | null
}

/** The commonest first. Words that differ only in capitals and stops are one. */
export function wordsOf(texts: Iterable<string>, choices: { value: string; names: string[] }[]): Words[] {
  const counts = new Map<string, { text: string; count: number }>()
  for (const text of texts) {
    const key = bare(text)
    const entry = counts.get(key)
    if (entry) entry.count += 1
    else if (key !== '') counts.set(key, { text: text.trim(), count: 1 })
  }
  return [...counts]
    .map(([key, { text, count }]) => ({ text, count, guess: guessMeaning(key, choices) }))
    .sort((a, b) => b.count - a.count || (a.text < b.text ? -1 : 1))
}

/**
 * What a symptom may mean: the fault trees; what a cause may mean: the causes, and that nothing was found.
 */
export function choicesFor(knowledge: Knowledge) {
  const trees = [...knowledge.trees.values()].filter(tree => tree.kind === 'fault')
  const kinds = [...knowledge.equipment.values()]
  return {
    symptoms: trees.map(tree => ({
      value: tree.slug,
      label: `${tree.symptom} (${knowledge.equipment.get(tree.equipment)?.name ?? ''})`,
      names: [tree.symptom, tree.title, tree.slug],
    })),
    causes: [
      ...kinds.flatMap(({ slug, name, causes }) =>
        [...causes.values()].map(cause => ({
          value: `${slug}/${cause.slug}`,
          label: `${cause.title} (${name})`,
          names: [cause.title, cause.slug],
        })),
      ),
      {
        value: nothingFound,
        label: 'No fault found',
        names: ['no fault found', 'nff', 'nothing found', 'tested ok'],
      },
    ],
  }
}

/** The same words, else the one choice that shares the most of its words, at least two in three. */
function guessMeaning(key: string, choices: { value: string; names: string[] }[]): string | null {
  const words = new Set(key.split(' '))
  let best = { value: null as string | null, share: 0.66, tied: false }
  for (const { value, names } of choices) {
    for (const name of names.map(bare)) {
      if (name === key) return value
      const nameWords = name.split(' ')
      const shared = nameWords.filter(word => words.has(word)).length
      const share = (2 * shared) / (nameWords.length + words.size)
      if (share > best.share) best = { value, share, tied: false }
      else if (share === best.share && value !== best.value) best = { ...best, tied: true }
    }
  }
  return best.tied ? null : best.value
}

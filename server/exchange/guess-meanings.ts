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

export interface Choice {
  value: string
  names: string[]
}

/** A file's words, taken in and guessed at a few at a time. */
export interface WordCount {
  /** Words that differ only in capitals and stops are one. */
  add(texts: Iterable<string>): void
  /** Guesses at so many of those that were not guessed at yet; true when there are no more. */
  guess(most: number): boolean
  /** The commonest first. */
  list(): Words[]
}

export function countWords(choices: Choice[]): WordCount {
  const named = choices.map(({ value, names }) => ({ value, names: names.map(bareName) }))
  const words = new Map<string, Words>()
  const unguessed: [string, Words][] = []
  return {
    add(texts) {
      for (const text of texts) {
        const key = bare(text)
        const known = words.get(key)
        if (known) known.count += 1
        else if (key !== '') {
          const entry: Words = { text: text.trim(), count: 1, guess: null }
          words.set(key, entry)
          unguessed.push([key, entry])
        }
      }
    },
    guess(most) {
      for (const [key, entry] of unguessed.splice(-most)) entry.guess = guessMeaning(key, named)
      return unguessed.length === 0
    },
    list: () => [...words.values()].sort((a, b) => b.count - a.count || (a.text < b.text ? -1 : 1)),
  }
}

interface BareName {
  name: string
  words: string[]
}

function bareName(text: string): BareName {
  const name = bare(text)
  return { name, words: name.split(' ') }
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
function guessMeaning(key: string, choices: { value: string; names: BareName[] }[]): string | null {
  const words = new Set(key.split(' '))
  let best = { value: null as string | null, share: 0.66, tied: false }
  for (const { value, names } of choices) {
    for (const { name, words: nameWords } of names) {
      if (name === key) return value
      const shared = nameWords.filter(word => words.has(word)).length
      const share = (2 * shared) / (nameWords.length + words.size)
      if (share > best.share) best = { value, share, tied: false }
      else if (share === best.share && value !== best.value) best.tied = true
    }
  }
  return best.tied ? null : best.value
}

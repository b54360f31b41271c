// Every figure carries what it was made of, so that a page can answer "why?" with the same numbers.

export interface Term {
  name: string
  value: number | string | null
  /** What the term is and where it comes from, in plain words. */
  words: string
}

export interface Explained<T = number> {
  value: T
  /** The figure as a sentence. */
  words: string
  terms: Term[]
}

/** No figure can honestly be given; `words` says why. */
export function cannotSay(words: string, terms: Term[] = []): Explained<null> {
  return { value: null, words, terms }
}

export function term(name: string, value: Term['value'], words: string): Term {
  return { name, value, words }
}

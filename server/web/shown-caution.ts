import { renderMarkdown } from '../knowledge/render.ts'

/** A caution as the caution partial takes it: the author's first bold word becomes its heading. */
export function shownCaution(text: string): { word: string; html: string } {
  const begun = /^\*\*(Caution|Warning)[:.]?\*\*[:.]?\s*/i.exec(text)
  const word = begun?.[1]?.toLowerCase() === 'warning' ? 'Warning' : 'Caution'
  return { word, html: renderMarkdown(text.slice(begun?.[0].length ?? 0)) }
}

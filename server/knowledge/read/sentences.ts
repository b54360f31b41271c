import { memo } from '../../cache.ts'
import type { Words } from './document.ts'
import type { Draft } from './draft.ts'
import { sectionsOf } from './section-kinds.ts'

/**
 * The sentences of a file's instructions, remedies and
 * cautions, without Markdown's marks, each with its line.
 */
export const sentencesOf = memo((draft: Draft): Words[] => {
  const sentences: Words[] = []
  for (const { section } of sectionsOf(draft)) {
    for (const words of section.prose) {
      if (!/^(?:```|~~~| {4})/.test(words.text)) addSentences(sentences, words)
    }
    for (const quote of section.quotes) addSentences(sentences, quote)
  }
  return sentences
})

function addSentences(sentences: Words[], words: Words) {
  let line = words.line
  for (const part of words.text.split(/(\n[ \t]*(?=\n|[-*+] |\d+[.)] )|[.!?](?=\s|$))/)) {
    const text = plain(part)
    const lead = /^\s*/.exec(part)?.[0] ?? ''
    if (/\p{L}/u.test(text)) sentences.push({ text, line: line + (lead.split('\n').length - 1) })
    line += part.split('\n').length - 1
  }
}

function plain(text: string): string {
  if (!/[[*_`>\n+-]|\s\s|^\s*\d/.test(text)) return text.trim()
  return text
    .replace(/\*\*(?:Caution|Warning)\*\*:?/g, '')
    .replace(/\[([^[\]]*)\]\([^()\s]*\)/g, '$1')
    .replace(/^\s*(?:[-*+]|\d+[.)])\s/gm, '')
    .replace(/[*_`>]/g, '')
    .replace(/\s+/g, ' ')
    .trim()
}

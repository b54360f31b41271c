import type { Section, Words } from './document.ts'

/** The sentences of a section's instruction and cautions, without Markdown's marks, each with its line. */
export function sentencesOf(section: Section): Words[] {
  const prose = section.prose.filter(words => !/^(?:```|~~~| {4})/.test(words.text))
  return [...prose, ...section.quotes].flatMap(sentencesIn)
}

function sentencesIn(words: Words): Words[] {
  const sentences: Words[] = []
  let line = words.line
  for (const part of words.text.split(/(\n[ \t]*(?=\n|[-*+] |\d+[.)] )|[.!?](?=\s|$))/)) {
    const text = plain(part)
    const lead = /^\s*/.exec(part)?.[0] ?? ''
    if (/\p{L}/u.test(text)) sentences.push({ text, line: line + (lead.split('\n').length - 1) })
    line += part.split('\n').length - 1
  }
  return sentences
}

function plain(text: string): string {
  return text
    .replace(/\*\*(?:Caution|Warning)\*\*:?/g, '')
    .replace(/\[([^[\]]*)\]\([^()\s]*\)/g, '$1')
    .replace(/^\s*(?:[-*+]|\d+[.)])\s/gm, '')
    .replace(/[*_`>]/g, '')
    .replace(/\s+/g, ' ')
    .trim()
}

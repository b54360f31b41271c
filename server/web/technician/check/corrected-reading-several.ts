import { parseReading } from '../../../measurement/readings/reading.ts'
import type { TypedParts } from './corrected-reading.ts'

/** One text, several, or a question back: `1 234` may be either. */
export type Several =
  | { kind: 'one' }
  | { kind: 'several'; texts: string[] }
  | { kind: 'ask'; ask: { question: string; choices: { text: string; means: string }[] } }

const MOST = 20

/** Readings parted by `;` or by spaces, with those added before; a unit given once at the end is that of all. */
export function severalIn(parts: TypedParts): Several {
  const own = ownTexts(parts.meant ?? parts.text)
  if (own.kind === 'ask') return own
  const before = (parts.series ?? '').split(';').map(text => text.trim())
  const texts = [...before, ...own.texts].filter(text => text !== '')
  if (texts.length < 2) return { kind: 'one' }
  return { kind: 'several', texts: withUnit(texts.slice(0, MOST)) }
}

type Own = { kind: 'several'; texts: string[] } | Extract<Several, { kind: 'ask' }>

function ownTexts(text: string): Own {
  const typed = text.trim().replace(/[\s\u00a0\u202f]+/g, ' ')
  if (typed.includes(';')) return { kind: 'several', texts: typed.split(';').map(part => part.trim()) }
  const texts = typed.split(/ (?=[-−–]?[.,]?\d)/)
  if (texts.length < 2) return { kind: 'several', texts }
  if (!/^[-−–]?\d{1,3}( \d{3})+$/.test(typed))
    return { kind: 'several', texts: isOne(typed) ? [typed] : texts }
  return {
    kind: 'ask',
    ask: {
      question: `Is “${typed}” one number or several readings?`,
      choices: [
        { text: texts.join(''), means: `one number, ${texts.join('')}` },
        { text: texts.join('; '), means: `${texts.length} readings: ${texts.join('; ')}` },
      ],
    },
  }
}

/** `92 - 104` is one reading that wandered. Whether its unit fits is asked later, so any will do here. */
function isOne(typed: string): boolean {
  return parseReading(typed.replace(/[a-zA-ZµΩ²%°]+( AC| DC)?$/, ''), 'V AC').ok
}

function withUnit(texts: string[]): string[] {
  const unitOf = (text: string) => /^[^a-zA-Z]*\d\s*([^\d\s.,+\-−–].*)$/.exec(text)?.[1] ?? ''
  const last = unitOf(texts.at(-1) ?? '')
  const bare = texts.slice(0, -1).every(text => unitOf(text) === '')
  return last && bare ? texts.map((text, at) => (at < texts.length - 1 ? `${text} ${last}` : text)) : texts
}

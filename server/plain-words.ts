// What people type, as it goes on record: without what can't be seen, so that two texts that look alike are alike.

/** Control characters but for tab and line feed; a NUL would end a text early in SQLite's own tools. */
// biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is taken out
const controls = /[\u0000-\u0008\u000b-\u001f\u007f-\u009f]/g

/** What turns the direction of the letters behind it: a line would read otherwise than it is. */
const turns = /[\u202a-\u202e\u2066-\u2069]/g

/** Line ends levelled, and without control characters. */
export function withoutControls(text: string): string {
  return text.replace(/\r\n?/g, '\n').replace(controls, '')
}

/** Words for a record: also composed (NFC of Unicode Standard Annex 15), whole, and with no turned directions. */
export function plainWords(text: string): string {
  return withoutControls(text).replace(turns, '').toWellFormed().normalize('NFC')
}

/** A name: words in one line, with plain spaces. */
export function plainName(text: string): string {
  return plainWords(text)
    .replace(/[\s\p{Zs}]+/gu, ' ')
    .trim()
}

/**
 * Why a text can't be a name, which must not look like another; null when it can. Zero-width spaces and joiners, marks of
 * direction and other format characters can't be seen, and marks piled on a letter can't be read.
 */
export function nameTrouble(name: string): string | null {
  if (/[\p{Cf}\p{Co}\p{DI}\ufffd]/u.test(name))
    return 'There is a character in this that can’t be seen. Type it by hand instead of pasting it.'
  return /^\p{M}|\p{M}{3}/u.test(name) ? 'Some letters of this can’t be read. Type it anew.' : null
}

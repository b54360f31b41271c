// Codes as they are read off a plate and typed in the dark: spaces, dashes, capitals, and the letter O for a nought or I
// for a one make no difference.

const ignored = [' ', '-', '–', '.', '/']
const alike: [string, string][] = [
  ['o', '0'],
  ['i', '1'],
  ['l', '1'],
]

/** The text as it is compared. */
export function asCompared(text: string): string {
  let plain = text.replace(/[A-Z]/g, letter => letter.toLowerCase()) // as SQLite's lower() does
  for (const sign of ignored) plain = plain.replaceAll(sign, '')
  for (const [letter, digit] of alike) plain = plain.replaceAll(letter, digit)
  return plain
}

/** The same of an SQL expression. */
export function asComparedSql(expression: string): string {
  const replaced = [...ignored.map(sign => [sign, '']), ...alike]
  return replaced.reduce((sql, [from, to]) => `replace(${sql}, '${from}', '${to}')`, `lower(${expression})`)
}

// What is guessed first. Two lists. Words that passwords are made of again and again (common practice, no published
// source; the names of this program and its trade among them), so that a word with figures or a sign on its end is
// refused, whatever its capitals. And the 100 000 used most of the passwords that have leaked anywhere and would otherwise
// do here, 10 characters or more and not figures alone: by their hashes, so that nobody has to read them, from the list
// of a million that the SecLists project publishes under the MIT licence.

import { hash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import path from 'node:path'

const common = new Set(
  `password passwort passw0rd letmein welcome admin administrator login master monkey dragon sunshine princess football
  baseball superman batman iloveyou trustno qwerty qwertyuiop qwertz azerty asdfgh asdfghjkl zxcvbn zxcvbnm abcdefgh
  abcdefghij changeme secret default summer winter spring autumn january february march april june july august september
  october november december monday tuesday wednesday thursday friday saturday sunday london england scotland wales
  computer internet access user guest test testing temp temporary please pass word hello goodbye whatever nothing
  company office depot railway railways railroad train trains track signal signals signalling signalman technician
  engineer fourfoot transmitter maintenance station platform loop loops fault faults
  liverpool arsenal chelsea tottenham celtic rangers united charlie michael jessica jennifer thomas daniel george
  flower chocolate cookie banana orange purple yellow silver golden diamond freedom shadow hunter ranger thunder`.split(
    /\s+/,
  ),
)

const signs: Record<string, string> = {
  '0': 'o',
  '1': 'i',
  '3': 'e',
  '4': 'a',
  '5': 's',
  '7': 't',
  '@': 'a',
  $: 's',
}

const HASH_BYTES = 5
let hashes: Buffer | null = null

/** The first bytes of the SHA-256 of each in small letters, in order; read when a password is first looked up. */
function mostUsed(): Buffer {
  hashes ??= readFileSync(path.join(import.meta.dirname, 'most-used-passwords.bin'))
  return hashes
}

/** How many passwords the list has. */
export function mostUsedCount(): number {
  return mostUsed().length / HASH_BYTES
}

/** Whether it is among those used most, whatever its capitals. */
export function isMostUsed(password: string): boolean {
  const sought = hash('sha256', password.toLowerCase(), 'buffer').subarray(0, HASH_BYTES)
  const list = mostUsed()
  let [low, high] = [0, mostUsedCount()]
  while (low < high) {
    const middle = (low + high) >> 1
    const order = sought.compare(list, middle * HASH_BYTES, (middle + 1) * HASH_BYTES)
    if (order === 0) return true
    // Above 0 when the one in the list comes before the one sought.
    if (order > 0) low = middle + 1
    else high = middle
  }
  return false
}

/** Whether nothing is left of it once common words, the person's own name, figures and signs are taken out. */
export function isCommon(password: string, name: string): boolean {
  const plain = password.toLowerCase()
  const read = [...plain].map(letter => signs[letter] ?? letter).join('')
  const names = name.toLowerCase().split(/\s+/)
  return [plain, read].some(text => leftOf(text, names).length < 6)
}

function leftOf(text: string, names: string[]): string {
  const words = [...common, ...names].filter(word => word.length > 2).sort((a, b) => b.length - a.length)
  return words.reduce((left, word) => left.replaceAll(word, ''), text).replace(/[^\p{L}]/gu, '')
}

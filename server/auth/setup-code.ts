// The one-time code with which the first account is made.

import { randomInt } from 'node:crypto'

const LETTERS = 'abcdefghjkmnpqrstuvwxyz23456789' // without those that are read as one another: i, l, o, 0, 1

/** A code to be typed from a screen: seven groups of four letters and digits, about 138 random bits. */
export function newSetupCode(): string {
  const letter = () => LETTERS[randomInt(LETTERS.length)] ?? ''
  const group = () => Array.from({ length: 4 }, letter).join('')
  return Array.from({ length: 7 }, group).join('-')
}

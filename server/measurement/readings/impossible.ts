/**
 * A sum that cannot be worked out with these numbers: −300 °C, a negative length, a division by zero.
 * The message is for people. Thrown by the functions a formula knows; `resolveRange` and the calculators'
 * callers turn it into words on the page.
 */
export class Impossible extends Error {}

/** Throws Impossible unless the value is a number above zero. */
export function needPositive(name: string, value: number, shown: string): void {
  if (!(value > 0)) throw new Impossible(`The ${name} must be more than zero, and is ${shown}.`)
}

// What is asked of every page in the browser itself, as expressions to evaluate there. Each gives a list of what is wrong.

import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import type { Page } from 'playwright-core'

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')

/** Makes axe-core known to the page; evaluated, as a script element takes twice as long to be read. */
export async function loadAxe(page: Page): Promise<void> {
  await page.evaluate(axe)
}

/** WCAG 2.2 AA by axe-core, and 7:1 for all text: no text that holds it fails the 4.5:1 of the weaker rule. */
export const violations = `axe.run(document, {
  resultTypes: ['violations'],
  runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
  rules: { 'color-contrast': { enabled: false }, 'color-contrast-enhanced': { enabled: true } },
}).then(found => found.violations.flatMap(one =>
  one.nodes.map(node => one.id + ': ' + node.html.slice(0, 120) + ' ' + node.failureSummary)))`

/** Only the contrasts: all else is the same in either look. */
export const contrasts = `axe.run(document, {
  resultTypes: ['violations'],
  runOnly: { type: 'rule', values: ['color-contrast-enhanced'] },
}).then(found => found.violations.flatMap(one =>
  one.nodes.map(node => one.id + ': ' + node.html.slice(0, 120) + ' ' + node.failureSummary)))`

/** What makes the page wider than its window, with text of the given size. */
export const offScreen = (text: string) => `(() => {
  document.documentElement.style.fontSize = '${text}'
  const wide = document.documentElement.clientWidth
  const off = [...document.querySelectorAll('body *')].filter(
    one => one.getBoundingClientRect().right > wide + 1 && !one.closest('.table-frame, .source, .marks'))
  return document.documentElement.scrollWidth > wide ? off.map(one => one.outerHTML.slice(0, 90)) : []
})()`

/** Controls lower than 44 px. An entry's link is its whole entry, by a pseudo-element over it. */
export const tooSmall = `[...document.querySelectorAll('a, button, input:not([type=hidden]), select, textarea, summary')]
  .filter(one => one.checkVisibility({ visibilityProperty: true }) && !one.matches('.skip-link'))
  .map(one => ({ one, box: (one.closest('.entry') ?? one).getBoundingClientRect() }))
  .filter(({ box }) => box.height < 44 || box.width < 24)
  .map(({ one, box }) => one.outerHTML.slice(0, 80) + ' ' + box.width + '×' + box.height)`

/** Keys of the keypad with a side under 104 px. */
export const smallKeys = `[...document.querySelectorAll('.keypad:not([data-covered]) .key:not(.key--unit)')]
  .map(one => one.getBoundingClientRect()).filter(box => Math.min(box.width, box.height) < 104)
  .map(box => box.width + '×' + box.height)`

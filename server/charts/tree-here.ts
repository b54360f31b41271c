// "You are here": the way walked so far and what the next row may lead to, small enough for a tablet's page.

import { element, escaped, label } from './svg.ts'
import { wrapped } from './tree-shape.ts'

export interface HereStep {
  title: string
  /** What was found there; null at the check in hand. */
  found: string | null
}

export interface HereWay {
  label: string
  words: string
}

const width = 640
const step = 46
const wayHeight = 30

/**
 * `before`: the checks done, oldest first, of which the last three are drawn; `here`: where the walk stands;
 * `ways`: its rows and where each leads. `id` must be the only one of its kind on the page.
 */
export function drawHere(id: string, before: HereStep[], here: string, ways: HereWay[]): string {
  const shown = before.slice(-3)
  const left = before.length - shown.length
  const top = left > 0 ? 34 : 10
  const hereY = top + shown.length * step
  const height = hereY + step + ways.length * wayHeight + 6
  return element(
    'svg',
    {
      class: 'tree-here-drawing',
      viewBox: `0 0 ${width} ${height}`,
      role: 'img',
      'aria-labelledby': `${id}-title`,
    },
    element('title', { id: `${id}-title` }, escaped(told(before, here, ways))),
    left > 0 ? label(34, 22, `${left} ${left === 1 ? 'check' : 'checks'} before`, { variant: 'soft' }) : '',
    element('path', {
      class: 'tree-line tree-line--taken',
      d: `M16 ${left > 0 ? 10 : top + 18}V${hereY + 18}`,
    }),
    ...shown.map((one, n) => done(one, top + n * step)),
    current(here, hereY),
    ...ways.map((way, n) => onward(way, hereY + step + n * wayHeight, hereY)),
  )
}

function done({ title, found }: HereStep, y: number): string {
  return [
    element('circle', { class: 'tree-done', cx: 16, cy: y + 18, r: 6 }),
    label(34, y + 16, one(title, 60)),
    found === null ? '' : label(34, y + 35, one(found, 60), { variant: 'soft' }),
  ].join('')
}

function current(title: string, y: number): string {
  return [
    element('path', { class: 'tree-here', d: `M6 ${y + 6}l22 12-22 12 5-12z` }),
    label(34, y + 24, one(title, 60), { variant: 'name' }),
  ].join('')
}

function onward(way: HereWay, y: number, from: number): string {
  return [
    element('path', { class: 'tree-line', d: `M16 ${from + 30}V${y + 12}H34` }),
    label(40, y + 17, one(way.label, 26)),
    label(250, y + 17, one(way.words, 46), { variant: 'soft' }),
  ].join('')
}

function one(words: string, letters: number): string {
  return wrapped(words, letters, 1)[0] ?? ''
}

function told(before: HereStep[], here: string, ways: HereWay[]): string {
  const done = before.map(({ title, found }) => (found === null ? title : `${title}: ${found}`))
  const walked = done.length > 0 ? `${done.join('; ')}. ` : ''
  return `${walked}You are at ${here}. ${ways.map(way => `${way.label}: ${way.words}`).join('; ')}.`
}

// Just enough SVG as text: elements with attributes, escaped,
// and numbers rounded so that files stay readable.

export type Attributes = Record<string, string | number | null>

/** Attributes that are null are left out; numbers are rounded to two digits. */
export function element(name: string, attributes: Attributes, ...children: string[]): string {
  const written = Object.entries(attributes)
    .filter(([, value]) => value !== null)
    .map(([key, value]) => ` ${key}="${typeof value === 'number' ? round(value) : escaped(value ?? '')}"`)
    .join('')
  return children.length === 0 ? `<${name}${written}/>` : `<${name}${written}>${children.join('')}</${name}>`
}

/** Two digits, and never −0. */
export function round(value: number): number {
  return Math.round(value * 100) / 100 + 0
}

export function escaped(text: string): string {
  return text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
}

export interface Label {
  anchor?: 'start' | 'middle' | 'end'
  variant?: string
}

export function label(
  x: number,
  y: number,
  words: string,
  { anchor = 'start', variant }: Label = {},
): string {
  const className = variant === undefined ? 'chart-text' : `chart-text chart-text--${variant}`
  return element('text', { class: className, x, y, 'text-anchor': anchor }, escaped(words))
}

export function line(
  className: string,
  x1: number,
  y1: number,
  x2: number,
  y2: number,
  dashes: string | null = null,
): string {
  return element('line', { class: className, x1, y1, x2, y2, 'stroke-dasharray': dashes })
}

/** A path that is drawn, not filled; nothing at all when there is nothing to draw. */
export function stroke(className: string, d: string | null, dashes: string | null = null): string {
  return d === null || d === ''
    ? ''
    : element('path', { class: className, d, fill: 'none', 'stroke-dasharray': dashes })
}

/** A solid bar that says what it is when pointed at. */
export function bar(x: number, y: number, width: number, height: number, words: string): string {
  return element(
    'rect',
    { class: 'chart-band chart-band--bar', x, y, width, height },
    element('title', {}, escaped(words)),
  )
}

/** A round mark that says what it is when pointed at. */
export function point(x: number, y: number, words: string, out = false, radius = 3.5): string {
  const className = out ? 'chart-point chart-point--out' : 'chart-point'
  return element(
    'circle',
    { class: className, cx: x, cy: y, r: radius },
    element('title', {}, escaped(words)),
  )
}

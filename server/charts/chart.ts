// What every chart gives: a picture with a title and a description, and the same data as a table.

import { element, escaped } from './svg.ts'

export interface Table {
  head: string[]
  rows: string[][]
}

export interface Chart {
  svg: string
  table: Table
}

/** `id` must be the only one of its kind on the page. */
export interface Caption {
  id: string
  title: string
}

export interface Frame {
  width: number
  height: number
  top: number
  right: number
  bottom: number
  left: number
}

/** Room for labels on two sides, and a plot in the middle. */
export const usual: Frame = { width: 720, height: 400, top: 28, right: 24, bottom: 52, left: 64 }

/** The edges of the plot inside the frame. */
export function edges(frame: Frame): { x0: number; x1: number; y0: number; y1: number } {
  return { x0: frame.left, x1: frame.width - frame.right, y0: frame.height - frame.bottom, y1: frame.top }
}

export function draw(caption: Caption, description: string, frame: Frame, parts: string[]): string {
  const { id, title } = caption
  return element(
    'svg',
    {
      xmlns: 'http://www.w3.org/2000/svg',
      class: 'chart',
      width: frame.width,
      height: frame.height,
      viewBox: `0 0 ${frame.width} ${frame.height}`,
      role: 'img',
      'aria-labelledby': `${id}-title ${id}-desc`,
    },
    `\n${element('title', { id: `${id}-title` }, escaped(title))}`,
    `\n${element('desc', { id: `${id}-desc` }, escaped(description))}`,
    ...parts.filter(part => part !== '').map(part => `\n${part}`),
    '\n',
  )
}

/** For when there is nothing to draw: the frame with the reason in it. */
export function empty(caption: Caption, frame: Frame, why: string, table: Table): Chart {
  const words = element(
    'text',
    { class: 'chart-text', x: frame.width / 2, y: frame.height / 2, 'text-anchor': 'middle' },
    escaped(why),
  )
  return { svg: draw(caption, why, frame, [words]), table }
}

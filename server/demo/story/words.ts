// What people write and say on the demo railway.

import type { BlownFuse, RepairAction } from '../../walk/record.ts'

export const reporters = [
  'the signaller, panel 2',
  'the signaller, workstation 4',
  'a driver, through control',
  'the night patrol',
  'the depot, after a look at the list',
]

export const noticedWhenShown = [
  'The failure came up on the panel and stayed.',
  'The indication flickered, then stayed on failed.',
  'The signal in rear could not be cleared.',
]

export const noticedWhenHidden = [
  'Found at a visit for other work.',
  'Seen by the patrol: the telltale was not as it should be.',
  'Found when the case was opened for a look round.',
]

export const spokenTo = [
  'the signaller, panel 2',
  'the signaller, workstation 4',
  'the signaller and control',
]

export const protections = [
  'Line blocked to the next signal.',
  'Lookout with me; case work only, clear of the line.',
  'Line blocked, confirmed back to me.',
  'No work on or near the line: behind the fence.',
]

export const isolations = [
  'Nothing.',
  'Supply fuse will be drawn when a check asks for it.',
  'Supply of this position, at its own fuse.',
]

export const leftPath = [
  'It was this at the last fault here.',
  'The wire at the next test point looks burnt.',
  'I was standing at the link box anyway.',
]

export const misread = [
  'The meter was on the wrong range.',
  'Typed at the wrong place of the point.',
  'One probe was not on the terminal.',
]

export const judged = [
  'No limit is given; by our maintenance instruction this is what it stands for.',
  'By the makers’ manual for this kind.',
]

export const handedOver = [
  'End of my shift. Tools are in the case.',
  'Called away to another fault. All as listed.',
  'Booked hours are up. The signaller knows.',
]

export const released = [
  'Everything was photographed and the readings stand in the record.',
  'The person in charge has seen it and lets it go.',
]

export const settled = [
  'Nothing else in the year after: settled.',
  'Came with the frost that week; all positions on this supply did it. Settled.',
  'Found again later and mended then. Settled.',
]

export const gaveUp = ['The line block was given up for traffic.', 'The part is not in the stores; ordered.']

/** What a technician does about a cause, by the words of its title. */
export function actionFor(title: string): RepairAction {
  const [, action] = actions.find(([pattern]) => pattern.test(title)) ?? [null, 'other' as const]
  return action
}

const actions: [RegExp, RepairAction][] = [
  [/fuse (aged|blown)|wrong .*fuse/i, 'fuse replaced'],
  [/film|contact resistance|dirty/i, 'contact cleaned'],
  [/loose|link|termination|holder|not home|missing|screen/i, 'connection remade'],
  [/cable|core|joint|insulation|loop|wire|conductor/i, 'cable repaired'],
  [/tone|level|adjust|spacing|moved/i, 'adjusted'],
]

export function repairWords(action: RepairAction, title: string): string {
  switch (action) {
    case 'unit replaced':
      return `${title}: changed for one from the van, settings compared first.`
    case 'fuse replaced':
      return `${title}: fuse of the diagram’s rating fitted.`
    case 'contact cleaned':
      return `${title}: cleaned as the instructions say.`
    case 'connection remade':
      return `${title}: remade, and tugged afterwards.`
    case 'cable repaired':
      return `${title}: the bad length or joint renewed.`
    case 'adjusted':
      return `${title}: set back to the drawing.`
    default:
      return `${title}: put right as the drawing shows.`
  }
}

/** What blew a fuse, by the words of the cause; no load was measured. */
export function blownFuse(title: string): BlownFuse {
  const wrong = /wrong/i.test(title)
  const aged = /aged/i.test(title)
  const blownBy = wrong
    ? 'Its rating was below that on the diagram.'
    : aged
      ? 'Load and wiring measured well: the fuse was old.'
      : 'A strand across the terminals, cut back.'
  return { blownBy, rating: null, load: null, kind: 'gG' }
}

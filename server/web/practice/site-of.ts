import type { Site } from '../../circuit/world.ts'
import type { PositionFacts } from '../../walk/fit.ts'

const duties: readonly string[] = ['train stop', 'overspeed', 'speed restriction', 'buffer stop']

/** What the facts of a position on record say of the equipment; what they don't say is left to be drawn. */
export function siteOf(facts: PositionFacts): Partial<Site> {
  const length = Number(facts['cable length'])
  const size = Number(facts['conductor size'])
  return {
    ...(isDuty(facts.duty) ? { duty: facts.duty, signal: isControlled(facts.duty) } : {}),
    ...(length > 0 ? { cableLength: length } : {}),
    ...(size > 0 ? { conductorSize: size } : {}),
    ...(facts.direction === 'normal' || facts.direction === 'opposite' ? { direction: facts.direction } : {}),
  }
}

function isDuty(word: string | undefined): word is Site['duty'] {
  return duties.includes(word ?? '')
}

const isControlled = (duty: Site['duty']) => duty === 'overspeed' || duty === 'train stop'

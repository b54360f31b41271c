// Positions drawn at random, and the record of each in the words of the equipment files.

import type { Site } from '../circuit/world.ts'
import type { Equipment } from '../knowledge/types.ts'
import type { PositionFacts } from '../walk/fit.ts'
import type { Chance } from './chance.ts'

const MPH = 0.44704

/** A position of the kind a depot may have. */
export function drawSite(chance: Chance): Site {
  const duty = chance.weighted(
    ['overspeed', 'train stop', 'speed restriction', 'buffer stop'] as const,
    one => (one === 'overspeed' || one === 'train stop' ? 4 : 1),
  )
  const controlled = duty === 'overspeed' || duty === 'train stop'
  return {
    ...{
      duty,
      signal: controlled,
      indication: indicationOf(duty, chance),
    },
    ...{
      cableLength: chance.whole(20, 450),
      conductorSize: chance.pick([1.5, 2.5]),
      celsius: chance.whole(-8, 36),
    },
    ...{ feederLength: chance.whole(100, 800), feederSize: chance.pick([10, 16]) },
    ...{ lineLength: chance.whole(200, 2000), lineSize: 1.5 },
    ...{ suppressedBy: chance.pick(['link', 'contact']), direction: chance.pick(['normal', 'opposite']) },
    ...{ setSpeed: duty === 'buffer stop' ? 12.5 : chance.pick([25, 40, 50, 60]), timer: 974 },
    ...{ supplyFuse: 1, caseFuse: 10, caseLoad: chance.between(1, 3) },
  } as Site
}

/** A speed restriction's set is told by its telltale alone; where a signal is, the lamp may be its own or the signal's. */
function indicationOf(duty: Site['duty'], chance: Chance): Site['indication'] {
  if (duty === 'speed restriction') return 'none'
  return duty === 'buffer stop' ? 'own lamp' : chance.pick(['own lamp', 'lamp circuit'])
}

/** Metres from the arming to the trigger loop on the plan. The loops of a train stop lie back to back. */
export function plannedSpacing({ duty, setSpeed, timer }: Site): number {
  return duty === 'train stop' ? 0.4 : (setSpeed * MPH * timer) / 1000
}

/**
 * The facts of a position as its record has them. A fact that this list does not know is the first choice of its
 * equipment file, or missing where it is a number.
 */
export function recordOf(site: Site, equipment: Equipment): PositionFacts {
  const known = knownFacts(site)
  const facts: PositionFacts = {}
  for (const { name, choices } of equipment.facts) {
    const value = known[name] ?? choices[0]
    if (value !== undefined) facts[name] = choices.length > 0 ? among(choices, value) : value
  }
  return facts
}

function among(choices: string[], value: string): string {
  return choices.includes(value) ? value : (choices[0] ?? value)
}

function knownFacts(site: Site): PositionFacts {
  const opposite = site.direction === 'opposite'
  const arming = (site.duty === 'train stop' ? 66.25 : 64.25) + (opposite ? 0.5 : 0)
  return {
    ...{ direction: site.direction, duty: site.duty, indication: site.indication, 'contact finish': 'gold' },
    ...{
      'modules fed': 'one',
      'cable length': `${site.cableLength}`,
      'conductor size': `${site.conductorSize}`,
    },
    ...{ 'conductor class': 'class 2', 'loop spacing': plannedSpacing(site).toFixed(2) },
    ...{ 'set speed': `${site.setSpeed}`, timer: `${site.timer}`, 'arming tone': `${arming}` },
    ...{ 'trigger tone': `${opposite ? 65.75 : 65.25}`, 'fuse rating': `${site.supplyFuse}` },
    ...{
      'feeder length': `${site.feederLength}`,
      'feeder core': `${site.feederSize}`,
      'load class': 'small',
    },
    ...{
      'design load': (site.caseLoad + 0.7).toFixed(1),
      'feeder voltage': '110',
      'source voltage': '110',
      'indication form': site.indication,
    },
    ...{ 'line length': `${site.lineLength}`, 'line core': `${site.lineSize}` },
  }
}

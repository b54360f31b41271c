// The facts of one position, agreeing with each other: the spacing fits the set speed, the tones fit the direction.

import type { Equipment, Fact } from '../../knowledge/types.ts'
import type { Random } from '../../statistics/random.ts'

type Facts = Record<string, string>

/** Metres a second in one mile an hour, exact by definition (1609.344 m / 3600 s). */
const METRES_PER_SECOND = 0.44704
/** The on-train timer the spacing is reckoned with; value from memory. */
const TIMER_MS = 974

/** A value for each fact of the equipment; names the demo does not know get a plain value that fits their kind. */
export function factsFor(equipment: Equipment, random: Random): Facts {
  const facts: Facts = {}
  const first = ['direction', 'duty', 'set speed']
  const ordered = equipment.facts.toSorted((a, b) => rank(a) - rank(b))
  for (const fact of ordered) facts[fact.name] = known(fact, facts, random) ?? plain(fact, random)
  return facts.duty === 'train stop' ? untimed(facts) : facts

  function rank(fact: Fact): number {
    const place = first.indexOf(fact.name)
    return place < 0 ? first.length : place
  }
}

function known(fact: Fact, facts: Facts, random: Random): string | null {
  switch (fact.name) {
    case 'direction':
      return oneOf(fact, random.chance(0.8) ? 'normal' : 'opposite')
    case 'duty':
      return oneOf(fact, random.weighted(duties, ([, share]) => share)[0])
    case 'loop size':
      return oneOf(fact, facts.duty === 'buffer stop' ? 'short' : 'standard')
    case 'modules fed':
      return oneOf(fact, random.chance(0.7) ? 'one' : 'two')
    case 'cable length':
      return String(random.whole(8, 90) * 5)
    case 'set speed':
      return String(setSpeed(facts.duty ?? '', random))
    case 'timer':
      return String(TIMER_MS)
    case 'fuse rating':
      return random.chance(0.6) ? '2' : '3'
    case 'loop spacing':
      return spacing(facts, random)
    case 'arming tone':
      return tones(facts).arming
    case 'trigger tone':
      return tones(facts).trigger
    case 'feeder length':
      return String(random.whole(6, 36) * 25)
    case 'line length':
      return String(random.whole(6, 40) * 100)
    case 'design load':
      return String(random.whole(2, 6))
    case 'feeder core':
      return random.chance(0.5) ? '10' : '16'
    default:
      return fact.unit === 'mm²' ? random.pick(['1.5', '2.5']) : null
  }
}

const duties: [string, number][] = [
  ['train stop', 40],
  ['overspeed', 40],
  ['speed restriction', 12],
  ['buffer stop', 8],
]

/** The loops of a train stop lie back to back: no set speed, no timer, and the gap is the owner's to fill in. */
function untimed({ 'set speed': _speed, timer: _timer, 'loop spacing': _spacing, ...facts }: Facts): Facts {
  return facts
}

function oneOf(fact: Fact, word: string): string | null {
  return fact.choices.includes(word) ? word : null
}

function setSpeed(duty: string, random: Random): number {
  if (duty === 'buffer stop' || duty === 'train stop') return 10
  return random.pick([20, 25, 30, 40, 45, 50, 60, 65])
}

/** Distance = speed × time, to the centimetre, laid within half a per cent. */
function spacing(facts: Facts, random: Random): string {
  const speed = Number(facts['set speed'] ?? setSpeed(facts.duty ?? '', random))
  const metres = ((speed * METRES_PER_SECOND * TIMER_MS) / 1000) * (1 + random.between(-0.005, 0.005))
  return metres.toFixed(2)
}

/** The tone plan as the equipment's facts describe it (values from memory). */
function tones(facts: Facts): { arming: string; trigger: string } {
  const shift = facts.direction === 'opposite' ? 0.5 : 0
  const arming = facts.duty === 'train stop' ? 66.25 : 64.25
  return { arming: (arming + shift).toFixed(2), trigger: (65.25 + shift).toFixed(2) }
}

function plain(fact: Fact, random: Random): string {
  return fact.choices.length > 0 ? random.pick(fact.choices) : String(random.whole(2, 40))
}

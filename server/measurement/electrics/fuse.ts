// Fuses: what they carry and at what they blow, and why a blown fuse is a symptom, never a cause.
//
// gG links: IEC 60269-1, conventional currents (values from memory). Miniature 5 × 20 fuses: IEC 60127, 1.5
// and 2.1 times rated (values from memory). Between the two nothing is promised.

import { formatQuantity } from '../readings/format.ts'
import { Impossible, needPositive } from '../readings/impossible.ts'

export type FuseKind = 'gG' | 'miniature quick' | 'miniature time-lag'

export interface FuseCurrents {
  /** Carried for the conventional time without blowing, A. */
  nonFusing: number
  /** Blows within the conventional time, A. */
  fusing: number
  /** Conventional time, seconds: for carrying, and for blowing. */
  carries: number
  blows: number
  source: string
}

export const GG_SOURCE = 'IEC 60269-1, conventional currents of gG links (value from memory)'
const MINIATURE_SOURCE = 'IEC 60127, miniature fuses (value from memory)'

/** Up to and including `to` amperes, in order. */
const GG_BANDS = [
  { below: 4.0001, nonFusing: 1.5, fusing: 2.1, hours: 1 },
  { below: 16, nonFusing: 1.5, fusing: 1.9, hours: 1 },
  { below: 63.0001, nonFusing: 1.25, fusing: 1.6, hours: 1 },
  { below: 160.0001, nonFusing: 1.25, fusing: 1.6, hours: 2 },
  { below: 400.0001, nonFusing: 1.25, fusing: 1.6, hours: 3 },
  { below: 1250.0001, nonFusing: 1.25, fusing: 1.6, hours: 4 },
]

/**
 * Conventional currents of a fuse of `rating` amperes. Throws Impossible for a rating outside its standard.
 */
export function fuseCurrents(rating: number, kind: FuseKind = 'gG'): FuseCurrents {
  needPositive('fuse rating', rating, formatQuantity(rating, 'A'))
  return kind === 'gG' ? ggCurrents(rating) : miniatureCurrents(rating, kind)
}

export interface FuseLoad {
  /** `blows`: the load alone will blow it; `may blow`: nothing is promised; `carries`: it should hold. */
  says: 'carries within rating' | 'carries above rating' | 'may blow' | 'blows'
  because: string
  currents: FuseCurrents
}

/** A measured load against the fuse that feeds it, amperes. */
export function fuseUnderLoad(rating: number, load: number, kind: FuseKind = 'gG'): FuseLoad {
  if (!(load >= 0))
    throw new Impossible(`The load must be zero or more, and is ${formatQuantity(load, 'A')}.`)
  const currents = fuseCurrents(rating, kind)
  const amps = formatQuantity(load, 'A')
  const rated = formatQuantity(rating, 'A')
  if (load <= rating)
    return {
      says: 'carries within rating',
      because: `${amps} is within the rated ${rated}: this load does not blow the fuse, so look for what did.`,
      currents,
    }
  if (load <= currents.nonFusing)
    return {
      says: 'carries above rating',
      because: `${amps} is above the rated ${rated}, though it may hold: the load is too large or the fuse is the wrong one.`,
      currents,
    }
  if (load < currents.fusing)
    return {
      says: 'may blow',
      because: `${amps} lies between ${formatQuantity(currents.nonFusing, 'A')} and ${formatQuantity(currents.fusing, 'A')}: it may hold or blow.`,
      currents,
    }
  return {
    says: 'blows',
    because: `${amps} is at or above ${formatQuantity(currents.fusing, 'A')}: the load alone blows this fuse.`,
    currents,
  }
}

/** Does fitting a fuse like for like count as settling the fault? Only once what blew it is known. */
export function refitCounts(whatBlewIt: string | null): { counts: boolean; because: string } {
  const causeKnown = whatBlewIt !== null && whatBlewIt.trim() !== ''
  return causeKnown
    ? { counts: true, because: `The fuse blew because of: ${whatBlewIt.trim()}.` }
    : {
        counts: false,
        because:
          'A blown fuse is a symptom: it takes about twice its rating to blow. Find what blew it before a new one counts as the repair.',
      }
}

function ggCurrents(rating: number): FuseCurrents {
  const band = GG_BANDS.find(candidate => rating < candidate.below)
  if (!band)
    throw new Impossible(
      `There is no gG value for ${formatQuantity(rating, 'A')}: the table ends at 1250\u00a0A.`,
    )
  const seconds = band.hours * 3600
  return {
    nonFusing: rating * band.nonFusing,
    fusing: rating * band.fusing,
    carries: seconds,
    blows: seconds,
    source: GG_SOURCE,
  }
}

function miniatureCurrents(rating: number, kind: FuseKind): FuseCurrents {
  if (rating < 0.032 || rating > 6.3)
    throw new Impossible(
      `Miniature fuses run from 32\u00a0mA to 6.3\u00a0A, not ${formatQuantity(rating, 'A')}.`,
    )
  return {
    nonFusing: rating * 1.5,
    fusing: rating * 2.1,
    carries: 3600,
    blows: kind === 'miniature quick' ? 1800 : 120,
    source: MINIATURE_SOURCE,
  }
}

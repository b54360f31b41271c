// The depot of the large database: its people, tablets and places, and the faults each technician has in hand.

import { createHash, randomUUID } from 'node:crypto'
import { hashToken } from '../../../server/auth/tokens.ts'
import type { Storage } from '../../../server/storage/storage.ts'

export const TABLETS = 200
/** About two faults a position a year with a million findings. */
export const POSITIONS = 2500
/** Faults in hand of each technician: each is recorded at once. */
export const IN_HAND = 40

/** The session token of a technician, as the cookie holds it. */
export const tokenOf = (tablet: number) => createHash('sha256').update(`tablet ${tablet}`).digest('base64url')
/** What the tablet's browser sends. */
export const cookieOf = (tablet: number) =>
  `fourfoot=${tokenOf(tablet)}; tablet=${encodeURIComponent(`on ${tokenOf(tablet)}`)}`
export const faultOf = (tablet: number, n: number) => `open-${tablet}-${n}`

export function writeDepot(storage: Storage, equipment: string): void {
  for (let n = 0; n < TABLETS; n++) {
    storage.people.create({ id: `tech-${n}`, name: `Technician ${n}`, role: 'technician', pinHash: 'none' })
    const tablet = { id: `tablet-${n}`, name: `Tablet ${n}`, tokenHash: hashToken(`on ${tokenOf(n)}`) }
    storage.tablets.create({ ...tablet, enrolledBy: 'tech-0' })
    storage.sessions.create({ tokenHash: hashToken(tokenOf(n)), personId: `tech-${n}`, tabletId: tablet.id })
  }
  for (let n = 0; n < POSITIONS; n++) {
    if (n % 4 === 0)
      storage.sites.create({
        id: `site-${n / 4}`,
        name: `Site ${n / 4}`,
        line: 'Main',
        mileage: `${n} m`,
        access: '',
      })
    storage.positions.create({
      ...{ id: `position-${n}`, siteId: `site-${Math.floor(n / 4)}`, name: `Position ${n}`, plate: `P-${n}` },
      ...{
        equipment,
        indicated: n % 2 === 0,
        inService: '2010-01-01T00:00:00.000Z',
        outOfService: null,
        facts: {},
      },
    })
  }
}

/** One of each kind at every position, each of which came from another site ten years ago. */
export function writeUnits({ units }: Storage, variants: { kind: string; variant: string }[]): void {
  for (const kind of new Set(variants.map(one => one.kind))) {
    for (let n = 0; n < POSITIONS; n++) {
      const id = `${kind}-${n}`
      units.create({
        id,
        kind,
        serial: `S-${n}`,
        variant: variants.find(one => one.kind === kind)?.variant ?? '',
      })
      const before = `position-${(n + POSITIONS / 2) % POSITIONS}`
      units.fit({ id: `${id}-1`, unitId: id, positionId: before, fittedAt: '2010-01-01T00:00:00.000Z' })
      units.remove(id, '2016-01-01T00:00:00.000Z')
      units.fit({
        id: `${id}-2`,
        unitId: id,
        positionId: `position-${n}`,
        fittedAt: '2016-01-02T00:00:00.000Z',
      })
    }
  }
}

export function writeInHand(storage: Storage, tree: string, editionId: string): void {
  const now = new Date().toISOString()
  for (let tablet = 0; tablet < TABLETS; tablet++) {
    for (let n = 0; n < IN_HAND; n++) {
      const id = faultOf(tablet, n)
      const positionId = `position-${(tablet * IN_HAND + n) % POSITIONS}`
      storage.faults.create({
        ...{
          id,
          positionId,
          tree,
          editionId,
          symptom: 'output dead',
          reportedAt: now,
          reportedBy: 'signaller',
        },
        ...{
          recordedBy: `tech-${tablet}`,
          noticed: 'lamp dark',
          protection: 'kept',
          intermittent: false,
          conditions: [],
        },
      })
      storage.attendances.start({
        ...{
          id: randomUUID(),
          faultId: id,
          personId: `tech-${tablet}`,
          seenHistoryAt: now,
          spokenTo: 'signaller',
        },
        ...{ protectionWords: 'line blocked', isolationWords: 'nothing', expectedFinish: null },
      })
    }
  }
}

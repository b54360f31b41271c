// Invented faults by cause with their minutes and delay.

import { totalsByCause } from '../../server/history/positions/pareto.ts'
import { seeded } from '../history/chance.ts'

export function costs(seed: number, scale: number) {
  const random = seeded(seed)
  const causes = [
    ['Corroded link in the loop', 34, 45],
    ['Supply fuse', 21, 30],
    ['Power module', 18, 95],
    ['Loop cable cut', 5, 380],
    ['Connector wet', 14, 70],
    ['Transmitter module', 9, 140],
    ['Feeder volt drop', 3, 260],
    ['Strap left off after work', 4, 55],
    ['Seal broken', 2, 25],
  ] as const
  return totalsByCause(
    causes.flatMap(([cause, n, minutes]) =>
      Array.from({ length: Math.max(1, random.poisson(n * scale)) }, () => ({
        cause,
        minutes: minutes * (0.6 + 0.8 * random.next()),
        delayMinutes: random.poisson(minutes / 9),
      })),
    ),
  )
}

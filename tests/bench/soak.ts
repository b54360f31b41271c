// Five minutes of two hundred tablets: whether memory still grows once everything is warm. What half an hour would add is
// reckoned from the last four minutes, not measured.

import type { Bench } from './run.ts'
import { largeDatabase, mixed } from './web.ts'
import { standing } from './web-load/large.ts'
import { page } from './web-load/pages.ts'
import { serve } from './web-load/processes.ts'

const MINUTES = 5

async function soak(): Promise<number> {
  const ours = await serve('serve.ts', largeDatabase(1_000_000))
  try {
    const used: number[] = []
    for (let minute = 0; minute < MINUTES; minute++) {
      const looks = Array.from({ length: 200 }, (_, tablet) => [page(standing(), tablet, minute)])
      await mixed(ours, 60, looks)
      used.push((await ours.usage()).heapUsed / 2 ** 20)
    }
    const [first = 0, last = 0] = [used[1], used.at(-1)]
    console.error(`  heap after each minute, MB: ${used.map(one => one.toFixed(1)).join(', ')}`)
    return ((last - first) / (MINUTES - 2)) * 30
  } finally {
    await ours.stop()
  }
}

export const benches: Bench[] = [
  { name: 'soak-growth', unit: 'MB in 30 minutes, reckoned', goal: { at: 'most', value: 25 }, run: soak },
]

// How many files one recorded reading runs through, beyond what every form that records runs through, and in how many
// rooms they are.

import { beyond, followReading, roomsOf } from './follow-a-reading.ts'
import type { Bench } from './run.ts'
import { once } from './shared.ts'

const ofReading = once(async (): Promise<string[]> => {
  const { reading, anyForm } = await followReading()
  return beyond(reading, anyForm)
})

const most = (value: number) => ({ at: 'most' as const, value, counted: true as const })

export const benches: Bench[] = [
  { name: 'reading-files', unit: 'files', goal: most(20), run: async () => (await ofReading()).length },
  { name: 'reading-rooms', unit: 'rooms', goal: most(4), run: async () => roomsOf(await ofReading()).length },
]

import { demoOf } from '../demo/make.ts'

/** The demo railway, three years of faults walked one by one, into an empty database. */
export const benches = [
  {
    name: 'demo-load',
    unit: 's',
    goal: { at: 'most' as const, value: 10 },
    run: async (): Promise<number> => (await demoOf(1)).seconds,
  },
]

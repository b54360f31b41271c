import { tryLaws } from '../measurement/verdicts/laws.ts'

const READINGS = 1_200_000

/** Random readings held against random limits with random instruments, none of which may break a law of verdicts. */
export const verdictLaws = {
  name: 'verdict-laws',
  unit: 'readings, none against a law',
  goal: { at: 'least' as const, value: 1_000_000, counted: true as const },
  run: (): number => {
    const { broken } = tryLaws(READINGS, 20_260_101)
    if (broken.length > 0) throw new Error(`${broken.length} verdicts break a law. ${broken[0]}`)
    return READINGS
  },
}

import { wetBesideDry } from '../../../measurement/electrics/insulation.ts'
import { formatReading, type Reading } from '../../../measurement/readings/reading.ts'
import type { WetOrDryReading } from '../../../storage/storage.ts'

export interface WetBeside {
  tree: string
  check: string
  dry: { words: string; at: string; faultId: string }
  wet: { words: string; at: string; faultId: string }
  /** What the two say together; null when they say nothing much or have no numbers. */
  says: string | null
}

/** The newest wet reading of each check beside its newest dry one, where both are on record. `readings`: newest first. */
export function wetBeside(readings: WetOrDryReading[]): WetBeside[] {
  const keys = [...new Set(readings.map(one => `${one.tree}#${one.check}`))]
  return keys.flatMap(key => {
    const here = readings.filter(one => `${one.tree}#${one.check}` === key)
    const dry = here.find(one => one.wetOrDry === 'dry')
    const wet = here.find(one => one.wetOrDry === 'wet')
    if (!dry || !wet) return []
    const shown = ({ reading, at, faultId }: WetOrDryReading) => ({
      words: formatReading(reading),
      at,
      faultId,
    })
    const { tree, check } = dry
    return [{ tree, check, dry: shown(dry), wet: shown(wet), says: together(dry.reading, wet.reading) }]
  })
}

function together(dry: Reading, wet: Reading): string | null {
  const [from, to] = [ohms(dry), ohms(wet)]
  return from !== null && to !== null && from > 0 && to >= 0 ? wetBesideDry(from, to) : null
}

/** The number a reading is good for: `>200M` is at least that much. */
function ohms(reading: Reading): number | null {
  if (reading.kind === 'unstable') return reading.low
  return 'value' in reading ? reading.value : null
}

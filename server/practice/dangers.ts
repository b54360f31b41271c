// What would hurt somebody or destroy the equipment: it ends an exercise, however right the reading.

import type { State } from '../circuit/world.ts'
import type { Check } from '../knowledge/types.ts'
import { type Asking, changes, pairOf } from './measured.ts'

export type Danger = 'proceed' | 'insulation' | 'plate'

/** What it would have meant, for the afterwards page. */
export const meant: Record<Danger, { title: string; words: string }> = {
  proceed: {
    title: 'You worked on the equipment while a train was signalled over it',
    words:
      'The signal showed proceed. A train would have run over a set that you had disturbed: nothing would have stopped it, and whoever was at the loops stood in its way. Wait until it has passed and the signal is held.',
  },
  insulation: {
    title: 'You put an insulation test on with electronics connected',
    words:
      'Hundreds of volts went into the modules. They would now be destroyed or, worse, weakened, and fail later with a train near. Take off and out what the check says first, and put the tester only on what is free.',
  },
  plate: {
    title: 'You did not read the plate',
    words:
      'The code you typed was not read off the equipment before you. At the wrong case you would have taken a working set out of use, and the fault would have stayed. The look-alike is often the one next to it.',
  },
}

/** Whether the tester would go on something that still has electronics on it. */
export function testsElectronics(asking: Asking, state: State): boolean {
  const { check, probes, done } = asking
  if (!check.insulationTest) return false
  if (!done && changes(check, state)) return true
  return (
    probes !== null && probes.join() !== pairOf(check)?.join() && !probes.every(one => isFree(one, state))
  )
}

function isFree(probe: string, state: State): boolean {
  if (/^(?:E\d?|S[AT])$/.test(probe) || state.lifted.has(probe)) return true
  return state.out.has('transmitter module') && state.out.has('power module')
}

/** Whether work at the check is work on the equipment, and not only looking at it. */
export function worksOn({ disturbs, insulationTest }: Check): boolean {
  return disturbs !== null || insulationTest
}

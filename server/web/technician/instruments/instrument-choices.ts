import type { calibration } from '../../../measurement/instruments/instrument.ts'
import type { KeptInstrument } from '../../../storage/storage.ts'
import type { Times } from '../../../times.ts'
import type { Choice } from '../../partials.ts'

type Calibrated = Omit<KeptInstrument, 'calibration'> & { calibration: ReturnType<typeof calibration> }

/** The instruments in use, each with the state of its calibration, and another one. */
export function instrumentChoices(times: Times, instruments: Calibrated[]): Choice[] {
  return [
    ...instruments.map(one => ({
      value: one.id,
      label: `${one.kind} ${one.serial}`,
      ...calibrationWords(times, one),
    })),
    { value: 'none', label: 'Another one', hint: 'Readings are judged by the simple rule.' },
  ]
}

function calibrationWords(times: Times, { calibration, calibrationDue }: Calibrated) {
  return calibration === 'in date' && calibrationDue
    ? { hint: `Calibration in date until ${times.day(calibrationDue)}`, mark: 'done' }
    : { hint: 'Calibration out of date: readings are marked', mark: 'caution' }
}

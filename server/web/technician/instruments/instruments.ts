import { z } from 'zod'
import { calibration } from '../../../measurement/instruments/instrument.ts'
import type { KeptInstrument } from '../../../storage/storage.ts'
import type { Times } from '../../../times.ts'
import type { Deps } from '../../deps.ts'
import { page, redirect } from '../../host/answer.ts'
import { readForm } from '../../host/read-form.ts'
import { localAddress, type Request } from '../../host/request.ts'
import type { Choice } from '../../partials.ts'

export const instrumentCookie = 'instrument'
const choosing = z.object({ instrument: z.string().max(64), return: z.string().max(500).optional() })

/** Instruments in use, to choose the one in hand; `instrument=none` forgets it. */
export const index = (deps: Deps) => (req: Request) => {
  const now = deps.clock().toISOString()
  return page('technician/instruments/instruments', {
    title: 'Which instrument?',
    returnTo: localAddress(req.query.return),
    chosen: chosenInstrument(deps, req)?.id ?? null,
    instruments: instrumentChoices(
      deps.times,
      deps.storage.instruments
        .list()
        .filter(one => one.active)
        .map(one => ({ ...one, calibration: calibration(one, now) })),
    ),
  })
}

/** Remembers the instrument on this tablet for the shift. */
export const choose = (deps: Deps) => (req: Request) => {
  const form = readForm(choosing, req)
  const chosen = form.ok ? deps.storage.instruments.find(form.data.instrument) : null
  const maxAgeMs = deps.config.sessionHours * 3600_000
  const cookie = { name: instrumentCookie, value: chosen?.id ?? null, maxAgeMs }
  return redirect(localAddress(req.body.return), { cookies: [cookie] })
}

/** The instrument in hand, or null: readings are then judged by the simple rule, and the page says so. */
export function chosenInstrument(deps: Deps, req: Request): KeptInstrument | null {
  const id = req.cookies[instrumentCookie]
  const instrument = id ? deps.storage.instruments.find(id) : null
  return instrument?.active ? instrument : null
}

type Calibrated = Omit<KeptInstrument, 'calibration'> & { calibration: ReturnType<typeof calibration> }

/** The instruments in use, each with the state of its calibration, and another one. */
function instrumentChoices(times: Times, instruments: Calibrated[]): Choice[] {
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

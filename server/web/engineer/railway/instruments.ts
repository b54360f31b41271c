import { z } from 'zod'
import { memo } from '../../../cache.ts'
import { AppError } from '../../../errors.ts'
import { findCheck } from '../../../knowledge/graph.ts'
import { calibration } from '../../../measurement/instruments/instrument.ts'
import type { KeptInstrument } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { formId, readForm } from '../../host/read-form.ts'
import type { Request } from '../../host/request.ts'
import { dueDay, fieldsOfFunctions, methods, naming, readFunctions, rowsOf } from './instruments-form.ts'
import { calibrationMark, outOfDateTable, registerTable } from './instruments-tables.ts'

const adding = memo((deps: Deps) => naming.extend({ id: formId, calibrationId: formId, due: dueDay(deps) }))
const calibrating = memo((deps: Deps) => z.object({ id: formId, due: dueDay(deps) }))
const retiring = z.object({ id: formId, active: z.enum(['yes', 'no'], { error: 'Say which.' }) })

const home = '/instruments/register'

/** The register, and the readings that were taken with an instrument out of calibration. */
export const index = (deps: Deps) => () => {
  return page('engineer/railway/instruments', registerLocals(deps, {}))
}

export const create = (deps: Deps) => (req: Request) => {
  const form = readForm(adding(deps), req)
  const read = readFunctions(req.body ?? {})
  const errors = { ...(form.ok ? {} : form.errors), ...('errors' in read ? read.errors : {}) }
  const again = (wrong: Record<string, string>) =>
    formAgain('engineer/railway/instruments', {
      ...registerLocals(deps, req.body ?? {}),
      values: req.body ?? {},
      errors: wrong,
    })
  if (!form.ok || 'errors' in read) return again(errors)
  const { id, kind, serial, calibrationId, due } = form.data
  if (isTaken(deps, id, kind, serial))
    return again({ serial: `The ${kind} ${serial} is in the register already.` })
  deps.storage.transaction(() => {
    deps.storage.instruments.create({ id, kind, serial, functions: read.functions, calibrationDue: null })
    deps.storage.instruments.addCalibration({ id: calibrationId, instrumentId: id, due })
  })
  return redirectAfterWrite(deps, req, id, `${home}/${id}`)
}

export const show = (deps: Deps) => (req: Request) => {
  const instrument = named(deps, req)
  return page('engineer/railway/instrument', instrumentLocals(deps, instrument, {}))
}

/** A new calibration: readings from now on are in date until its day; those of before stay as they were. */
export const recalibrate = (deps: Deps) => (req: Request) => {
  const instrument = named(deps, req)
  const form = readForm(calibrating(deps), req)
  if (!form.ok)
    return formAgain('engineer/railway/instrument', {
      ...instrumentLocals(deps, instrument, {}),
      ...form,
    })
  deps.storage.instruments.addCalibration({ ...form.data, instrumentId: instrument.id })
  return redirectAfterWrite(deps, req, form.data.id, `${home}/${instrument.id}`)
}

/** What it can do, put right. Verdicts on record stand as they were given. */
export const describe = (deps: Deps) => (req: Request) => {
  const instrument = named(deps, req)
  const read = readFunctions(req.body ?? {})
  if ('errors' in read) {
    const shown = { ...instrumentLocals(deps, instrument, req.body ?? {}), values: {}, errors: read.errors }
    return formAgain('engineer/railway/instrument', shown)
  }
  deps.storage.instruments.setFunctions(instrument.id, read.functions)
  return redirectAfterWrite(deps, req, String(req.body?.id ?? ''), `${home}/${instrument.id}`)
}

/** Taken out of use, or back into it. Readings taken with it keep its name. */
export const retire = (deps: Deps) => (req: Request) => {
  const instrument = named(deps, req)
  const form = readForm(retiring, req)
  if (!form.ok) throw new AppError('invalid', 'Say whether it is in use.')
  deps.storage.instruments.setActive(instrument.id, form.data.active === 'yes')
  return redirectAfterWrite(deps, req, form.data.id, `${home}/${instrument.id}`)
}

function named(deps: Deps, req: Request): KeptInstrument {
  const instrument = deps.storage.instruments.find(String(req.params.instrument))
  if (!instrument) throw new AppError('not found', 'There is no such instrument in the register.')
  return instrument
}

function isTaken(deps: Deps, id: string, kind: string, serial: string): boolean {
  const same = (one: KeptInstrument) => one.kind === kind && one.serial.toLowerCase() === serial.toLowerCase()
  return deps.storage.instruments.list().some(one => one.id !== id && same(one))
}

function registerLocals(deps: Deps, sent: Record<string, unknown>) {
  const now = deps.clock().toISOString()
  const { knowledge } = deps.library.current()
  return {
    title: 'Instruments',
    desk: true,
    register: registerTable(
      deps.storage.instruments.list().map(one => ({ ...one, calibration: calibration(one, now) })),
      deps.times,
    ),
    outOfDate: outOfDateTable(
      deps.storage.instruments.listReadingsOutOfDate(200).map(one => ({
        ...one,
        title:
          findCheck(knowledge, { tree: one.tree, check: one.check })?.title ?? one.check.replaceAll('-', ' '),
      })),
      deps.times,
    ),
    rows: rowsOf(sent),
    methods,
  }
}

function instrumentLocals(deps: Deps, instrument: KeptInstrument, sent: Record<string, unknown>) {
  const typed = Object.keys(sent).length > 0 ? sent : fieldsOfFunctions(instrument.functions)
  return {
    title: `${instrument.kind} ${instrument.serial}`,
    desk: true,
    back: { href: home, text: 'Instruments' },
    instrument,
    address: `${home}/${instrument.id}`,
    calibrationMark: calibrationMark(calibration(instrument, deps.clock().toISOString())),
    rows: rowsOf(typed),
    methods,
    values: {},
  }
}

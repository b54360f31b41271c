import { AppError } from '../../../errors.ts'
import { findCheck } from '../../../knowledge/graph.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { readOwnFault } from '../attend/fault-in-hand.ts'
import { chosenInstrument } from '../instruments/instruments.ts'
import { faultCheckLocals } from './check-page.ts'
import { fieldsOf, gateFields } from './reading-fields.ts'

/** The check's form again, filled with what was found, to correct it or to choose another row with a reason. */
export const add = (deps: Deps) => (req: Request) => {
  const fault = readOwnFault(deps, req)
  const old = fault.record.findings.find(finding => finding.id === req.params.finding)
  if (!old || !('check' in old)) throw new AppError('not found', 'There is no such finding to correct.')
  if (fault.record.findings.some(finding => finding.replaces === old.id)) {
    throw new AppError('conflict', 'That finding was corrected already. Correct the newer one.')
  }
  const check = findCheck(fault.knowledge, old.check)
  if (!check) throw new AppError('not found', 'Its check is not in the edition this fault is walked on.')
  const values = {
    replaces: old.id,
    how: old.kind,
    ...fieldsOf(old),
    ...gateFields(req.query),
  }
  const disagree = req.query.row === 'other'
  return page('technician/check/check', {
    ...faultCheckLocals(deps, fault, check, chosenInstrument(deps, req), { values }),
    title: `Correct: ${check.title}`,
    chooseRow: disagree ? 'Choose the row you hold to be right, and say why.' : null,
  })
}

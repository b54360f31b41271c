import { AppError } from '../../../errors.ts'
import { refKey, refOf } from '../../../knowledge/graph.ts'
import type { Check } from '../../../knowledge/types.ts'
import type { CheckFinding } from '../../../walk/record.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { checkOf, readOwnFault, type WalkInHand } from '../in-hand/fault-in-hand.ts'
import { instrumentAt } from '../instruments/chosen.ts'
import { faultCheckLocals } from './check-page.ts'
import { measuredAgain } from './measure-again.ts'
import { fieldsOf, gateFields } from './reading-fields.ts'

/** The check's form again, filled with what was found, to correct it or to choose another row with a reason. */
export const add = (deps: Deps) => (req: Request) => {
  const fault = readOwnFault(deps, req)
  const old = findingToCorrect(fault, req)
  const check = checkOf(fault, old.check)
  const again = req.query.again === 'yes' && old.kind === 'reading'
  const values = {
    replaces: old.id,
    how: old.kind,
    ...(again ? { reason: measuredAgain } : fieldsOf(old)),
    ...gateFields(req.query),
  }
  const disagree = req.query.row === 'other'
  return page('technician/check/check', {
    ...faultCheckLocals(deps, fault, check, instrumentAt(deps, req, fault, check), { values }),
    title: `${again ? 'Measure again' : 'Correct'}: ${check.title}`,
    chooseRow: disagree ? 'Say what it is, and why.' : null,
  })
}

/** The finding the address names. Throws not found, and a conflict where it was corrected already. */
export function findingToCorrect({ record }: WalkInHand, req: Request): CheckFinding {
  const old = record.findings.find(finding => finding.id === req.params.finding)
  if (!old || !('check' in old)) throw new AppError('not found', 'There is no such finding to correct.')
  if (record.findings.some(finding => finding.replaces === old.id))
    throw new AppError('conflict', 'That finding was corrected already. Correct the newer one.')
  return old
}

/** Throws a conflict unless the finding that is replaced is one of this check. */
export function mustCorrectCheck({ record }: WalkInHand, replaces: string, check: Check): void {
  const old = record.findings.find(finding => finding.id === replaces)
  if (!old || !('check' in old) || refKey(old.check) !== refKey(refOf(check)))
    throw new AppError('conflict', 'The finding you correct is not one of this check.')
}

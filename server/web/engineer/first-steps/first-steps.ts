import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import type { Deps } from '../../deps.ts'
import { page, redirectAfterWrite } from '../../host/answer.ts'
import { formId, oneOf, readForm } from '../../host/read-form.ts'
import type { Request } from '../../host/request.ts'
import type { Mark } from '../../partials.ts'
import { type Step, settledSteps, settleStep, stepKeys, stepsOf } from './steps.ts'

const settling = z.object({
  id: formId,
  step: oneOf(stepKeys, 'There is no such step.'),
  settled: oneOf(['yes', 'no'], 'Say what becomes of the step.'),
})

/** What the depot still needs before a fault can be attended well: how each stands, why, and the next thing to press. */
export const show = (deps: Deps) => (req: Request) => {
  const steps = stepsOf(deps, req.origin)
  const settled = settledSteps(deps)
  const left = steps.filter(({ done }) => !done)
  return page('engineer/first-steps/first-steps', {
    title: 'First steps',
    desk: true,
    doneCount: steps.length - left.length,
    of: steps.length,
    first: left[0]?.key ?? null,
    steps: steps.map(step => ({ ...step, mark: markOf(step, settled), settled: settled.has(step.key) })),
  })
}

/** Takes a step off the list that the program can't see done, or that this depot does not need; or puts it back. */
export const update = (deps: Deps) => (req: Request) => {
  const form = readForm(settling, req)
  if (!form.ok) throw new AppError('invalid', Object.values(form.errors)[0] ?? 'Send the page again.')
  const { id, step, settled } = form.data
  const named = stepsOf(deps, req.origin).find(({ key }) => key === step)
  if (!named?.settle) throw new AppError('invalid', 'This step is done when what it asks for is on record.')
  settleStep(deps, step, settled === 'yes')
  return redirectAfterWrite(deps, req, id, '/first-steps')
}

function markOf({ done, key, settle }: Step, settled: Set<string>): Mark {
  if (!done) return { kind: 'open', word: 'to do' }
  return { kind: 'done', word: settled.has(key) && settle === 'Not needed here' ? 'not needed here' : 'done' }
}

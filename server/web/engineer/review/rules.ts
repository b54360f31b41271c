// The depot's own rules: what counts as a repeat.

import { z } from 'zod'
import type { RepeatRule } from '../../../history/positions/repeats.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { formId, readForm } from '../../host/read-form.ts'
import type { Request } from '../../host/request.ts'
import { frame } from './pages.ts'

const most = 6
const places = Array.from({ length: most }, (_, i) => i + 1)

const form = z.object({ id: formId })

export const show = (deps: Deps) => (req: Request) => {
  return page('engineer/review/rules', rulesLocals(deps, req))
}

export const update = (deps: Deps) => (req: Request) => {
  const locals = rulesLocals(deps, req)
  const read = readForm(form, req)
  const rules = readRules(req)
  const errors = { ...(read.ok ? {} : read.errors), ...rules.errors }
  if (!read.ok || Object.keys(errors).length > 0)
    return formAgain('engineer/review/rules', { ...locals, values: { ...req.body }, errors })
  deps.storage.reviewSettings.setRepeatWindows(rules.rules)
  return redirectAfterWrite(deps, req, read.data.id, '/review')
}

function rulesLocals(deps: Deps, req: Request) {
  const rules = deps.storage.reviewSettings.repeatWindows()
  const values: Record<string, string> = {}
  rules.slice(0, most).forEach((rule, i) => {
    Object.assign(values, {
      [`name${i + 1}`]: rule.name,
      [`days${i + 1}`]: String(rule.days),
      [`faults${i + 1}`]: String(rule.faults),
    })
  })
  return { ...frame(deps, req).common, title: 'Rules of the review', places, values }
}

/** A row without a name is no rule. */
function readRules(req: Request): { rules: RepeatRule[]; errors: Record<string, string> } {
  const errors: Record<string, string> = {}
  const rules: RepeatRule[] = []
  for (const i of places) {
    const name = text(req.body[`name${i}`])
    if (name === '') continue
    const [days, faults] = [Number(text(req.body[`days${i}`])), Number(text(req.body[`faults${i}`]))]
    if (name.length > 60) errors[`name${i}`] = 'Keep a name to 60 characters.'
    else if (rules.some(rule => rule.name.toLowerCase() === name.toLowerCase()))
      errors[`name${i}`] = 'Two rules have this name. Give each its own.'
    if (!inside(days, 1, 3660)) errors[`days${i}`] = 'Give whole days, 1 to 3660.'
    if (!inside(faults, 2, 99)) errors[`faults${i}`] = 'Give whole faults, 2 or more.'
    rules.push({ name, days, faults })
  }
  if (rules.length === 0) errors.name1 = 'Keep one rule at least.'
  return { rules, errors }
}

function inside(value: number, least: number, largest: number): boolean {
  return Number.isInteger(value) && value >= least && value <= largest
}

function text(value: unknown): string {
  return typeof value === 'string' ? value.trim() : ''
}

// Why a check is suggested, in words.

import type { Check } from '../../knowledge/types.ts'
import type { Scope } from '../ranking/scope.ts'
import { type Plan, parted, type Standing } from './plan.ts'

/** `words` say what and how much sooner, `reason` what the check does for the diagnosis. */
export function suggestionWords(
  scope: Scope,
  plan: Plan,
  standing: Standing,
  check: number,
  saves: number,
): { words: string; reason: string } {
  const title = scope.checks[check]?.title ?? ''
  return {
    words: `${title} first: about ${minutes(saves)} sooner here.`,
    reason: reasonFor(scope, plan, standing, check),
  }
}

/** Where the check that the walk stands at may not be done yet. */
export function neededWords(
  check: Check,
  at: Check | undefined,
  why: 'needs' | 'barred',
): { words: string; reason: string } {
  const here = `“${at?.title ?? ''}”`
  if (why === 'needs') return { words: `${check.title} first.`, reason: `${here} relies on it.` }
  return {
    words: `${check.title} now, or put back what is disturbed.`,
    reason: `${here} is not to be relied on while that is disturbed.`,
  }
}

function minutes(value: number): string {
  const whole = Math.max(1, Math.round(value))
  return whole === 1 ? '1 minute' : `${whole} minutes`
}

function reasonFor(scope: Scope, plan: Plan, standing: Standing, check: number): string {
  const all = weightOf(plan, standing.alive)
  const proves = standing.alive.filter(index => plan.hypotheses[index]?.proofs.includes(check))
  const chance = all > 0 ? weightOf(plan, proves) / all : 0
  const likely = proves.sort((a, b) => weightOf(plan, [b]) - weightOf(plan, [a]))[0]
  const cause = scope.causes[plan.hypotheses[likely ?? -1]?.cause ?? -1]
  if (cause && chance >= 0.2)
    return `It proves “${cause.title}” if that is the cause, as it may well be here.`
  const parts = [...parted(plan, standing.alive, check).values()].map(part => causesIn(plan, part))
  const most = Math.max(...parts)
  if (parts.length > 1)
    return `Whatever it shows, at most ${most} of ${causesIn(plan, standing.alive)} causes are left.`
  return 'It must be done before the check that tells most.'
}

function causesIn(plan: Plan, alive: number[]): number {
  return new Set(alive.flatMap(index => [plan.hypotheses[index]?.cause ?? -1]).filter(cause => cause >= 0))
    .size
}

function weightOf(plan: Plan, alive: number[]): number {
  return alive.reduce((sum, index) => sum + (plan.hypotheses[index]?.weight ?? 0), 0)
}

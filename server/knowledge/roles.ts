// What a fact or a limit is to the program, as its author declares it in the column `Role`; and how a check measures.
// These lists are all there is: the names an author gives to things may be any.

import type { CheckMethod, Equipment, Fact, FactRole, LimitRole } from './types.ts'

export interface RoleForm {
  /** Base of the unit it must have, or any; null for choices. */
  base: 'm' | 'A' | 'Hz' | 'ohm' | null | 'any'
  /** In words: "a length, such as m". */
  is: string
  /** Choices it must have among its own. */
  choices: string[]
  /** At most one of a kind of equipment has it. */
  once: boolean
}

const length = { base: 'm', is: 'a length, such as m', choices: [] } satisfies Partial<RoleForm>
const frequency = { base: 'Hz', is: 'a frequency, such as kHz', choices: [] } satisfies Partial<RoleForm>

export const FACT_ROLES: Record<FactRole, RoleForm> = {
  direction: {
    base: null,
    is: 'a choice between normal / opposite',
    choices: ['normal', 'opposite'],
    once: true,
  },
  'cable length': { ...length, once: true },
  'loop spacing': { ...length, once: true },
  'fuse rating': { base: 'A', is: 'a current, such as A', choices: [], once: true },
  tone: { ...frequency, once: false },
}

export const LIMIT_ROLES: Record<LimitRole, RoleForm> = {
  insulation: { base: 'ohm', is: 'a resistance, such as Mohm', choices: [], once: false },
  'loop spacing': { ...length, once: false },
  nothing: { base: 'any', is: 'a quantity that a meter shows, such as V AC', choices: [], once: false },
  tone: { ...frequency, once: false },
}

const METHODS: Record<CheckMethod, true> = { 'insulation test': true, 'four-wire': true, 'volt drop': true }

export const factRoles = Object.keys(FACT_ROLES)
export const limitRoles = Object.keys(LIMIT_ROLES)
export const checkMethods = Object.keys(METHODS)

export function isFactRole(text: string): text is FactRole {
  return Object.hasOwn(FACT_ROLES, text)
}

export function isLimitRole(text: string): text is LimitRole {
  return Object.hasOwn(LIMIT_ROLES, text)
}

export function isCheckMethod(text: string): text is CheckMethod {
  return Object.hasOwn(METHODS, text)
}

/** The fact of a role that only one fact may have; null where the equipment declares none. */
export function factOfRole(kit: Equipment, role: Exclude<FactRole, 'tone'>): Fact | null {
  return kit.facts.find(fact => fact.role === role) ?? null
}

// Editions published before there were roles said by their words what roles and methods now declare: a fact was the fuse
// rating by its name, an insulation test by its `Needs:`. They stay in databases and must show what they showed, so a
// file that declares none is read by its words still: here, when it is compiled, and nowhere else. The rule
// `role-missing` warns its author.

import { nothingStated, type StatedNeeds } from '../../measurement/instruments/suitability.ts'
import { nameKey } from '../../measurement/limits/formula.ts'
import { findUnit } from '../../measurement/readings/units.ts'
import { FACT_ROLES } from '../roles.ts'
import type { Fact, FactRole, Limit, LimitRole, Measures } from '../types.ts'

/** The facts with the roles their names and units give them. */
export function factRolesByWords(facts: Fact[]): Fact[] {
  const first: Partial<Record<FactRole, Fact>> = {}
  const roles = facts.map(fact => {
    const role = factRole(fact)
    if (role === null || !FACT_ROLES[role].once) return role
    first[role] ??= fact
    return first[role] === fact ? role : null
  })
  return facts.map((fact, at) => ({ ...fact, role: roles[at] ?? null }))
}

function factRole({ name, unit, choices }: Fact): FactRole | null {
  if (unit === null) return choices.includes('normal') && choices.includes('opposite') ? 'direction' : null
  const base = baseOf(unit)
  if (base === 'm' && nameKey(name) === 'cable length') return 'cable length'
  if (base === 'm' && nameKey(name) === 'loop spacing') return 'loop spacing'
  if (base === 'A' && /fuse rating/i.test(name)) return 'fuse rating'
  return base === 'Hz' ? 'tone' : null
}

/** A frequency limit with a direction in its name joins the tone plan. */
export function toneLimitsByWords(limits: Limit[], facts: Fact[]): Limit[] {
  const directions = facts.find(fact => fact.role === 'direction')?.choices ?? []
  return limits.map(limit => {
    const direction = directions.find(word => limit.name.includes(word))
    if (direction === undefined || baseOf(limit.unit) !== 'Hz') return limit
    const purpose = limit.name.replace(/,? *\(?(normal|opposite)( direction)?\)?/, '')
    return { ...limit, role: 'tone', tone: { purpose, direction } }
  })
}

/** What the reading of a check is, by its quantity, its limit and its `Needs:`. */
export function measureRoleByWords(does: Omit<Measures, 'role'>, needs: string[]): LimitRole | null {
  const said = [does.quantity, does.limit, ...needs].join(' ')
  if (baseOf(does.unit) === 'ohm' && /insulation|isolation/i.test(said)) return 'insulation'
  return /\bspacing\b/.test(does.quantity) ? 'loop spacing' : null
}

/**
 * What a check's `Needs:` lines say of the instrument. Understood: "four-wire", "volt drop under load", "500
 * V test voltage", "test voltage at most 20 mV", "electronics connected", "insulation tester".
 */
export function instrumentByWords(needs: string[]): { instrument: StatedNeeds; insulationTest: boolean } {
  const text = needs
    .join('\n')
    .toLowerCase()
    .replace(/[\s\u00a0]+/g, ' ')
  return {
    instrument: {
      ...nothingStated,
      method: methodByWords(text),
      testVoltage: volts(/(\d+(?:\.\d+)?) ?(mv|v)(?: dc)? test voltage/.exec(text)),
      mostTestVoltage: volts(
        /test voltage (?:at most|no more than|below) (\d+(?:\.\d+)?) ?(mv|v)/.exec(text),
      ),
      electronicsConnected: /electronics (?:still )?connected/.test(text),
    },
    insulationTest: /insulation tester|electronics/.test(text),
  }
}

function methodByWords(text: string): StatedNeeds['method'] {
  if (/(?:4|four)[- ]wire/.test(text)) return '4-wire'
  return /volt drop/.test(text) ? 'volt drop under load' : null
}

function volts(match: RegExpExecArray | null): number | null {
  if (!match?.[1]) return null
  return Number(match[1]) * (match[2] === 'mv' ? 0.001 : 1)
}

function baseOf(unit: string): string | null {
  return findUnit(unit)?.base ?? null
}

// What a check should read at one position: the facts of the
// position and earlier readings put into its limit.

import { memo } from '../cache.ts'
import { refKey, refOf } from '../knowledge/graph.ts'
import type { Check, Equipment, Measures } from '../knowledge/types.ts'
import { type Expectation, namesOf, type Range, resolveRange } from '../measurement/limits/expectation.ts'
import { findUnit } from '../measurement/readings/units.ts'
import { holds, type PositionFacts } from './fit.ts'
import type { Walk } from './place.ts'

/** By name: a number with its unit, or a word. */
export type ExpectationValues = Map<string, { value: number; unit: string } | string>

type Expected = { range: Range | null; problem: string | null }

/**
 * `range` is null for an observation and a blank limit; `problem` says why a limit could not be worked out.
 */
export function expectedAt(equipment: Equipment, facts: PositionFacts, walk: Walk, check: Check): Expected {
  const { does } = check
  if (does.kind !== 'measure' || !does.expectation) return { range: null, problem: null }
  if (!appliesAt(does, facts)) return { range: null, problem: null }
  if (isTheSameEverywhere(does.expectation)) return everywhere(does)
  const wrong = wrongFact(equipment, facts, does.expectation)
  if (wrong) return { range: null, problem: wrong }
  return resolved(does, valuesAt(equipment, facts, walk, check))
}

/** A limit for other duties than this one is as good as blank here: a reading gets no verdict by it. */
function appliesAt({ where = [] }: Measures, facts: PositionFacts): boolean {
  return where.every(condition => holds(condition, facts))
}

const isTheSameEverywhere = memo((expectation: Expectation) => namesOf(expectation).length === 0)

const everywhere = memo((does: Measures) => resolved(does, new Map()))

function resolved({ expectation, from, demo, nothing }: Measures, values: ExpectationValues): Expected {
  if (!expectation) return { range: null, problem: null }
  const limit = resolveRange(expectation, { values }, { from, demo })
  return limit.ok
    ? { range: nothing ? { ...limit.range, nothing } : limit.range, problem: null }
    : { range: null, problem: limit.message }
}

/**
 * The position's facts, and the readings on the walk's path as `reading of <title>`; of two, the later one.
 */
export function valuesAt(
  equipment: Equipment,
  facts: PositionFacts,
  walk: Walk,
  check: Check,
): ExpectationValues {
  const values: ExpectationValues = new Map()
  for (const fact of equipment.facts) {
    const written = facts[fact.name]
    if (written !== undefined) values.set(fact.name, factValue(written, fact.unit))
  }
  for (const step of walk.path) {
    if (step.kind !== 'check' || step.finding.kind !== 'reading') continue
    if (refKey(step.finding.check) === refKey(refOf(check))) continue
    const { reading } = step.finding
    if (reading.kind === 'value') values.set(`reading of ${step.check.title}`.toLowerCase(), reading)
  }
  return values
}

/**
 * A fact the limit names that should be a number and is none, in words for the page; null when there is none.
 */
function wrongFact(equipment: Equipment, facts: PositionFacts, expectation: Expectation): string | null {
  const named = new Set(namesOf(expectation).map(name => name.toLowerCase()))
  const wrong = equipment.facts.find(({ name, unit }) => {
    const written = facts[name]
    return (
      named.has(name.toLowerCase()) &&
      written !== undefined &&
      typeof factValue(written, unit) === 'string' &&
      unit
    )
  })
  if (!wrong) return null
  const { name, unit } = wrong
  return `On record here the ${name} is “${facts[name]}”. It must be a number in ${unit}: have the record of this position put right.`
}

function factValue(written: string, unit: string | null): { value: number; unit: string } | string {
  const parsedUnit = unit === null ? null : findUnit(unit)
  const value = Number(written.replace(',', '.'))
  return parsedUnit && Number.isFinite(value) ? { value, unit: parsedUnit.symbol } : written
}

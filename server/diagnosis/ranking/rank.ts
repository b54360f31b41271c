// Likely causes, most likely first, each number a product of named terms.

import { causeKey } from '../../knowledge/graph.ts'
import type { Cause, Knowledge } from '../../knowledge/types.ts'
import type { Finding } from '../../walk/record.ts'
import type { CauseCounts } from './cause-counts.ts'
import { type Evidence, evidenceOf, rejectionsIn, stillTelling } from './evidence.ts'
import { agreement, causeFactors, outsideFactors } from './hypotheses.ts'
import { type Likelihood, likelihoodOf } from './likelihood.ts'
import { type Pair, rankPairs } from './pairs.ts'
import { type Prior, priors, type Term } from './priors.ts'
import type { Scope } from './scope.ts'
import { chances } from './strengths.ts'

export interface RankedCause {
  cause: Cause
  /** 0 to 1. */
  probability: number
  /** Their product is the probability. */
  terms: Term[]
  /** The first finding that speaks against the cause, or null. */
  ruledOutBy: Finding | null
}

export interface Ranking {
  /** Most likely first; together with `outside` they add up to 1. */
  causes: RankedCause[]
  /** Something not in this tree. */
  outside: { probability: number; terms: Term[] }
  /** The symptom comes and goes, so a healthy finding rules nothing out. */
  flattened: boolean
  /** Whether some single cause agrees with everything found. */
  fits: boolean
  /**
   * Two causes at once that agree with everything found, most likely first; empty while a single cause fits.
   */
  pairs: Pair[]
  /** The conclusion in a sentence, with its doubt. */
  words: string
}

export interface RankOptions {
  intermittent?: boolean
}

/**
 * Ranks the causes of a tree (a slug). With no such tree
 * everything is outside. Ties keep the order of the tree.
 */
export function rank(
  knowledge: Knowledge,
  tree: string,
  findings: Finding[],
  history: CauseCounts,
  options: RankOptions = {},
): Ranking {
  const l = likelihoodOf(knowledge, tree)
  if (!l) return nothingKnown()
  const flattened = options.intermittent ?? false
  const all = evidenceOf(l.scope, findings)
  const rejected = rejectionsIn(findings)
  const evidence = stillTelling(l, all, rejected)
  const list = weighed(l, priors(l.scope.causes, history, l.scope.crossings), evidence, rejected, flattened)
  const against = l.scope.causes.map((cause, index) =>
    ruledOut(l, index, cause, evidence, rejected, flattened),
  )
  const causes = l.scope.causes.map((cause, index) => ({
    cause,
    probability: list[index]?.probability ?? 0,
    terms: list[index]?.terms ?? [],
    ruledOutBy: against[index] ?? null,
  }))
  const last = list[list.length - 1]
  const fits = against.some(finding => finding === null)
  const outside = { probability: last?.probability ?? 1, terms: last?.terms ?? [] }
  const ranking = {
    causes: causes.sort((a, b) => b.probability - a.probability),
    outside,
    flattened,
    fits,
    pairs: fits ? [] : rankPairs(l, list, all, rejected, flattened),
  }
  return { ...ranking, words: conclusion(ranking) }
}

function nothingKnown(): Ranking {
  const words = 'This edition has no such fault tree.'
  const term = { name: 'author', factor: 1, words }
  return {
    causes: [],
    outside: { probability: 1, terms: [term] },
    flattened: false,
    fits: false,
    pairs: [],
    words,
  }
}

/** Multiplies in one finding after the other; each factor is against the average, so the sum stays 1. */
function weighed(
  l: Likelihood,
  start: Prior[],
  evidence: Evidence[],
  rejected: Map<string, Finding>,
  intermittent: boolean,
): Prior[] {
  const under = l.scope.causes.map((_, cause) => causeFactors(l, evidence, cause, intermittent))
  under.push(outsideFactors(l, evidence))
  let list = start
  evidence.forEach((item, step) => {
    if (!item.weights) return
    const factors = list.map((_, index) => under[index]?.[step] ?? 1)
    list = multiplied(list, factors, l.scope.checks[item.check]?.title ?? '', factor =>
      findingWords(l.scope, item, factor),
    )
  })
  for (const [key, finding] of rejected) {
    const factors = list.map(prior => (prior.key === key ? chances.rejected : 1))
    list = multiplied(list, factors, 'ruled out', factor => rejectionWords(finding, factor))
  }
  return list
}

function multiplied(
  list: Prior[],
  factors: number[],
  name: string,
  words: (factor: number) => string,
): Prior[] {
  const { moves } = update(
    list.map(prior => prior.probability),
    factors,
  )
  const said = new Map<number, Term>()
  return list.map((prior, index) => {
    const factor = moves[index] ?? 1
    const term = said.get(factor) ?? { name, factor, words: words(factor) }
    said.set(factor, term)
    return { ...prior, probability: prior.probability * factor, terms: [...prior.terms, term] }
  })
}

function ruledOut(
  l: Likelihood,
  index: number,
  cause: Cause,
  evidence: Evidence[],
  rejected: Map<string, Finding>,
  intermittent: boolean,
): Finding | null {
  const against = evidence.find(item => agreement(l, item, index, intermittent) < chances.agrees)
  return against?.finding ?? rejected.get(causeKey(cause)) ?? null
}

function conclusion(ranking: Omit<Ranking, 'words'>): string {
  const first = ranking.causes[0]
  const best = ranking.pairs[0]
  if (!ranking.fits && best) return `No single cause fits what was found. Perhaps two: ${titles(best)}.`
  if (!ranking.fits) return 'No cause in this tree fits what was found. Look at the findings again.'
  if (!first || ranking.outside.probability > first.probability)
    return 'Most likely something not in this tree.'
  const most = first.probability > 0.5 ? 'Most likely' : 'Not clear yet; first on the list'
  const hidden = ranking.flattened
    ? ' The symptom comes and goes, so a healthy finding rules nothing out.'
    : ''
  return `${most}: ${first.cause.title}.${hidden}`
}

function titles(pair: Pair): string {
  return `${pair.causes[0].title}, and ${pair.causes[1].title}`
}

/** How each probability moves when evidence comes in, and how likely the evidence was altogether. */
export interface Update {
  /** posterior[i] = prior[i] × moves[i] */
  moves: number[]
  /** Chance of the evidence: Σ prior × chance. */
  evidence: number
}

/**
 * `prior` adds up to 1; `chances` are those of the evidence under each. Evidence that is impossible under all
 * moves nothing: better to leave the prior as it is than to divide by 0.
 */
export function update(prior: readonly number[], chances: readonly number[]): Update {
  const evidence = prior.reduce((sum, probability, index) => sum + probability * (chances[index] ?? 1), 0)
  if (!(evidence > 0)) return { moves: prior.map(() => 1), evidence: 0 }
  return { moves: prior.map((_, index) => (chances[index] ?? 1) / evidence), evidence }
}

/** "Supply at the power module: in range. Speaks strongly against this." */
function findingWords(scope: Scope, item: Evidence, factor: number): string {
  return `${findingTitle(scope, item)}. ${verb(factor)}`
}

function findingTitle(scope: Scope, item: Evidence): string {
  const check = scope.checks[item.check]
  const label = check?.rows[item.row]?.label ?? 'cannot tell'
  const doubt = [...(item.weights ?? [])].filter(weight => weight > 0).length > 1 ? ', too close to call' : ''
  return `${check?.title ?? ''}: ${label}${doubt}`
}

function rejectionWords(finding: Finding, factor: number): string {
  if (factor >= 0.5) return 'Another cause was tried and ruled out. Speaks a little for this.'
  const mended = finding.kind === 'rejection' && finding.mended
  return mended ? 'It was mended and the symptom stayed.' : 'Its proof failed.'
}

function verb(factor: number): string {
  if (factor < 0.1) return 'Rules this down.'
  if (factor < 0.67) return 'Speaks against this.'
  if (factor <= 1.5) return 'Says little about this.'
  return factor > 5 ? 'Speaks strongly for this.' : 'Speaks for this.'
}

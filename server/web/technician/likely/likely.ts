import { beforeLeaving } from '../../../diagnosis/ordering/before-leaving.ts'
import type { Term } from '../../../diagnosis/ranking/priors.ts'
import type { RankedCause } from '../../../diagnosis/ranking/rank.ts'
import { placeKey } from '../../../walk/place.ts'
import { chancePercent } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { type FaultInHand, readFault } from '../in-hand/fault-in-hand.ts'
import { foundWords } from '../in-hand/found-words.ts'
import { placeInWalk } from '../in-hand/place-in-walk.ts'
import { backBy } from '../report/back-by.ts'
import { accessTable, instrumentTable, spareTable } from './card-tables.ts'
import { historyOf, outlookOf, shownSuggestion, suggestionFor } from './outlook.ts'

/** Every cause with its chance and the terms it was made of; what was ruled out, and by what. */
export const show = (deps: Deps) => (req: Request) => {
  const fault = readFault(deps, req)
  const outlook = outlookOf(deps, fault)
  const { ranking, next } = outlook
  const alive = ranking.causes.filter(one => !one.ruledOutBy)
  return page('technician/likely/likely', {
    title: 'What it is most likely to be',
    fault,
    place: placeInWalk(fault),
    ranking,
    causes: alive.slice(0, 12).map(shown),
    rest: Math.max(0, alive.length - 12),
    outside: {
      percent: chancePercent(ranking.outside.probability),
      terms: ranking.outside.terms.map(shownTerm),
    },
    ruledOut: ranking.causes.flatMap(one =>
      one.ruledOutBy ? [{ title: one.cause.title, by: by(fault, one) }] : [],
    ),
    pairs: ranking.pairs.slice(0, 5).map(pair => ({
      title: pair.causes.map(one => one.title).join(' and '),
      percent: chancePercent(pair.probability),
    })),
    how: next && !fault.record.closure ? next.words : null,
    suggestion: shownSuggestion(suggestionFor(fault, outlook)),
    from: placeKey(fault.walk.place),
    backBy: backBy(deps, fault),
  })
}

/** What to take along and arrange, on one card to print before leaving the depot. */
export const card = (deps: Deps) => (req: Request) => {
  const fault = readFault(deps, req)
  const { tree, intermittent } = fault.record.fault
  const taking = beforeLeaving(fault.knowledge, tree, historyOf(deps, fault), fault.position.facts, {
    intermittent,
  })
  return page('technician/likely/card', {
    title: 'Before leaving the depot',
    fault,
    place: placeInWalk(fault),
    taking: taking && {
      causes: taking.causes.map(shown),
      outside: chancePercent(taking.outside),
      spares: spareTable(deps, taking.spares),
      instruments: instrumentTable(byMeter(taking.instruments), taking.needs.filter(isWorthACard)),
      access: accessTable(taking.access.filter(isWorthACard)),
    },
  })
}

/** A card holds what is likely enough to carry for. */
const worthACard = 0.04
const isWorthACard = ({ chance }: { chance: number }) => chance >= worthACard

/** One line a kind of reading, "V AC", with the chance that it is needed at all and the first things it measures. */
function byMeter(instruments: { words: string; chance: number }[]) {
  const meters = new Map<string, { unit: string; chance: number; what: string[] }>()
  for (const { words, chance } of instruments) {
    const [, what = words, unit = ''] = /^(.*) \(([^)]*)\)$/.exec(words) ?? []
    const meter = meters.get(unit) ?? { unit, chance: 0, what: [] }
    meter.chance = Math.max(meter.chance, chance)
    if (meter.what.length < 3) meter.what.push(what)
    meters.set(unit, meter)
  }
  return [...meters.values()].filter(meter => meter.chance >= worthACard)
}

function shown({ cause, probability, terms }: RankedCause) {
  return {
    title: cause.title,
    key: `${cause.equipment}/${cause.slug}`,
    percent: chancePercent(probability),
    share: Math.round(probability * 100),
    terms: terms.map(shownTerm),
  }
}

/** A factor as people read it: "×0.12". The first term is no factor, its words say the share. */
function shownTerm({ name, factor, words }: Term) {
  if (name === 'author') return { name, words, factor: '' }
  return { name, words, factor: `×${factor < 10 ? Number(factor.toPrecision(2)) : Math.round(factor)}` }
}

function by(fault: FaultInHand, { ruledOutBy }: RankedCause): string {
  if (!ruledOutBy) return ''
  if (!('check' in ruledOutBy)) return ruledOutBy.reason ?? 'its proof failed'
  const title = fault.knowledge.trees.get(ruledOutBy.check.tree)?.checks.get(ruledOutBy.check.check)?.title
  return `${title ?? ruledOutBy.check.check}: ${foundWords(ruledOutBy)}`
}

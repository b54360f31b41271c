// The register of units: found by serial number or kind, with where each is now.

import type { RegisteredUnit, UnitApart } from '../../../storage/railway/unit-life.ts'
import { capitalize } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { columns, type Mark, row, type Table } from '../../partials.ts'

const most = 200

export const index = (deps: Deps) => (req: Request) => {
  const search = typeof req.query.search === 'string' ? req.query.search.trim().slice(0, 60) : ''
  const { unitLife } = deps.storage
  return page('engineer/railway/units', {
    title: 'Units',
    desk: true,
    search,
    total: unitLife.count(),
    table: registerTable(deps, unitLife.register(search, most), unitLife.listApart()),
  })
}

function registerTable(deps: Deps, units: RegisteredUnit[], apart: Map<string, UnitApart>): Table {
  return {
    caption:
      units.length === most ? `The first ${most} by kind and serial number` : 'By kind and serial number',
    columns: columns('Serial number', 'Kind', 'Variant', 'Where it is', 'Since', 'State'),
    rows: units.map(unit =>
      row(
        { text: unit.serial, href: `/review/units/${encodeURIComponent(unit.id)}` },
        capitalize(unit.kind),
        unit.variant,
        unit.positionId === null
          ? 'not fitted'
          : { text: `${unit.siteName}, ${unit.positionName}`, href: `/positions/${unit.positionId}` },
        sinceWhen(deps, unit),
        { text: '', mark: stateMark(unit, apart.get(unit.id)) },
      ),
    ),
    empty: 'No unit is found. Units come in with a file of units, or when one is fitted at a fault.',
  }
}

function sinceWhen({ times }: Deps, { fittedAt, lastOutAt }: RegisteredUnit): string {
  const at = fittedAt ?? lastOutAt
  return at === null ? '–' : times.day(at)
}

/** Kept apart and scrapped before all else; a unit that is not fitted is a spare. */
export function stateMark(
  { fittedAt }: Pick<RegisteredUnit, 'fittedAt'>,
  apart: UnitApart | undefined,
): Mark {
  if (apart !== undefined) return { kind: 'out', word: apart.state }
  return fittedAt === null ? { kind: 'waiting', word: 'spare' } : { kind: 'in', word: 'fitted' }
}

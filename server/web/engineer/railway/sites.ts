import type { Knowledge } from '../../../knowledge/types.ts'
import type { Storage } from '../../../storage/storage.ts'
import { supersededOf } from '../../../walk/fit.ts'
import type { Deps } from '../../deps.ts'
import { firstStepsWay } from '../../first-steps-way.ts'
import { page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { columns, numbers, row, type Table } from '../../partials.ts'
import { faultTable } from '../../technician/report/fault-table.ts'

/** Every site with its open faults and repeats; searched by name, line, mileage, position or plate. */
export const index = (deps: Deps) => (req: Request) => {
  const search = typeof req.query.search === 'string' ? req.query.search.trim().slice(0, 100) : ''
  return page('engineer/railway/sites', {
    title: 'Sites',
    desk: true,
    search,
    sites: {
      ...sitesTable(deps.storage.sites.list({ search: search || undefined, limit: 500 }), search),
      emptyWay: search ? null : firstStepsWay(req),
    },
    repeatDays: deps.config.repeatWindowDays,
  })
}

/** A site with its positions, units and its full fault history. */
export const show = (deps: Deps) => (req: Request) => {
  const site = deps.storage.sites.get(String(req.params.site))
  const positions = deps.storage.positions.listBySite(site.id)
  return page('engineer/railway/site', {
    title: site.name,
    desk: true,
    site,
    positions: {
      ...positionsTable(positions, deps.library.current().knowledge),
      emptyWay: firstStepsWay(req),
    },
    faults: faultTable(deps, deps.storage.faults.listBySite(site.id, 500), {
      caption: 'Every fault at this site, newest first',
      where: true,
    }),
  })
}

type SiteSummary = ReturnType<Storage['sites']['list']>[number]
type SitePosition = ReturnType<Storage['positions']['listBySite']>[number]

/** `search`: what was asked for, '' for all sites. */
function sitesTable(sites: SiteSummary[], search: string): Table {
  return {
    caption: search ? `${sites.length} found for “${search}”` : `${sites.length} sites`,
    columns: columns(
      'Site',
      'Line',
      'Mileage',
      numbers('Positions'),
      numbers('Open'),
      numbers('Faults in a year'),
      numbers('Repeat'),
    ),
    rows: sites.map(site =>
      row(
        { text: site.name, href: `/sites/${site.id}` },
        site.line,
        site.mileage,
        site.positions,
        site.openFaults ? { text: site.openFaults, mark: { kind: 'open', word: '' } } : '0',
        site.faultsInYear,
        site.repeatPositions,
      ),
    ),
    empty: search ? 'No site matches.' : 'No site is on record yet.',
  }
}

/** The positions of one site and what is fitted there. */
function positionsTable(positions: SitePosition[], knowledge: Knowledge): Table {
  return {
    caption: 'Positions and what is fitted',
    captionHidden: true,
    columns: columns('Position', 'Plate', 'Equipment', 'Shown to the signaller', 'Units fitted', 'Report'),
    rows: positions.map(one =>
      row(
        { text: one.name, href: `/positions/${one.id}` },
        one.plate,
        one.equipment.replaceAll('-', ' '),
        one.indicated ? 'yes' : 'no',
        fittedWords(one, knowledge) || 'none on record',
        { text: 'Report a fault', href: `/faults/new?position=${one.id}` },
      ),
    ),
    empty: 'No position is on record here.',
  }
}

/** A superseded variant is said to be one, so that its change can be planned. */
function fittedWords({ fitted, equipment }: SitePosition, knowledge: Knowledge): string {
  const kit = knowledge.equipment.get(equipment)
  return fitted
    .map(unit => {
      const old = kit !== undefined && supersededOf(kit, [unit]).length > 0
      return `${unit.kind} ${unit.variant}, ${unit.serial}${old ? ' (superseded)' : ''}`
    })
    .join('; ')
}

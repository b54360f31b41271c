import type { Storage } from '../../../storage/storage.ts'
import { columns, numbers, row, type Table } from '../../partials.ts'

type SiteSummary = ReturnType<Storage['sites']['list']>[number]
type SitePosition = ReturnType<Storage['positions']['listBySite']>[number]

/** `search`: what was asked for, '' for all sites. */
export function sitesTable(sites: SiteSummary[], search: string): Table {
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
    empty: 'No site matches.',
  }
}

/** The positions of one site and what is fitted there. */
export function positionsTable(positions: SitePosition[]): Table {
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
        fittedWords(one) || 'none on record',
        { text: 'Report a fault', href: `/faults/new?position=${one.id}` },
      ),
    ),
    empty: 'No position is on record here.',
  }
}

function fittedWords({ fitted }: SitePosition): string {
  return fitted.map(({ kind, variant, serial }) => `${kind} ${variant}, ${serial}`).join('; ')
}

import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { faultTable } from '../../technician/report/fault-table.ts'
import { positionsTable, sitesTable } from './sites-tables.ts'

/** Every site with its open faults and repeats; searched by name, line, mileage, position or plate. */
export const index = (deps: Deps) => (req: Request) => {
  const search = typeof req.query.search === 'string' ? req.query.search.trim().slice(0, 100) : ''
  return page('engineer/railway/sites', {
    title: 'Sites',
    desk: true,
    search,
    sites: sitesTable(deps.storage.sites.list({ search: search || undefined, limit: 500 }), search),
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
    positions: positionsTable(positions),
    faults: faultTable(deps, deps.storage.faults.listBySite(site.id, 500), {
      caption: 'Every fault at this site, newest first',
      where: true,
    }),
  })
}

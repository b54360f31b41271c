// Labels for the cases: a code that opens the position on a tablet, and its plate to type where no camera is at hand.

import encodeQR from 'qr'
import type { Position } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'

export interface Label {
  site: string
  name: string
  plate: string
  /** SVG of the QR code (ISO/IEC 18004) of the position's address. */
  code: string
}

/** A sheet of labels of the sites chosen by `site`; without any, the sites to choose from. */
export const show = (deps: Deps) => (req: Request) => {
  const wanted = new Set([req.query.site ?? []].flat().map(String))
  const sites = deps.storage.sites.list({ limit: 2000 })
  const chosen = sites.filter(site => wanted.has(site.id))
  return page('engineer/railway/labels', {
    title: 'Labels',
    desk: true,
    sites: sites.map(({ id, name, line, mileage }) => ({
      id,
      label: name,
      hint: [line, mileage].filter(Boolean).join(', '),
      ticked: wanted.has(id),
    })),
    origin: req.origin,
    secure: req.origin.startsWith('https:'),
    labels: chosen.flatMap(site =>
      deps.storage.positions.listBySite(site.id).map(one => labelOf(one, req.origin)),
    ),
  })
}

/** `origin`: of the address that tablets reach the program by. */
export function labelOf({ id, siteName, name, plate }: Position, origin: string): Label {
  const address = `${origin}/positions/${encodeURIComponent(id)}`
  // A quarter of the code may be scratched or dirty.
  return { site: siteName, name, plate, code: encodeQR(address, 'svg', { ecc: 'quartile', border: 4 }) }
}

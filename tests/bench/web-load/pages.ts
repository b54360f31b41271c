// What a tablet asks for.

import { v7 as newId } from 'uuid'
import { cookieOf, faultOf, TABLETS } from './depot.ts'
import type { Standing } from './large.ts'
import type { Asked } from './load.ts'

export const page = ({ tree, check }: Standing, tablet: number, n: number): Asked => ({
  method: 'GET',
  path: `/faults/${faultOf(tablet, n)}/checks/${tree}/${check}`,
  headers: { Cookie: cookieOf(tablet) },
})

/** A reading in its range at the check where the fault stands; each fault can take one. The id is as a page makes it. */
export const record = ({ tree, check }: Standing, tablet: number, n: number): Asked => ({
  method: 'POST',
  path: `/faults/${faultOf(tablet, n)}/findings`,
  headers: { Cookie: cookieOf(tablet), 'Sec-Fetch-Site': 'same-origin' },
  body: new URLSearchParams({ id: newId(), tree, check, how: 'reading', text: '110' }).toString(),
})

export const all = <T>(make: (tablet: number) => T): T[] =>
  Array.from({ length: TABLETS }, (_, tablet) => make(tablet))

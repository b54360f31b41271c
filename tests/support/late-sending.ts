// A tablet's acts as they are sent: made in order, each at its time, and handed to the depot when the test says so.

import { randomUUID } from 'node:crypto'
import type { Site } from './site.ts'
import type { Visitor } from './visitor.ts'

export interface LateAct {
  id: string
  /** Sends it; gives why it stands apart, or null. */
  send(): Promise<string | null>
}

export interface LateTablet {
  /** What the tablet's copy was made of: later entries of others are not known to it. */
  copiedAt: string
  /** Something done now, on the tablet alone. */
  does(path: string, fields: Record<string, string>): LateAct
}

/** A shift begun now by somebody who is signed in; its acts are done a minute apart. */
export async function lateTablet(site: Site, visitor: Visitor): Promise<LateTablet> {
  const { token } = JSON.parse((await visitor.post('/tablet/shift', {})).html)
  const depot = site.stranger()
  let seq = 0
  const tablet = {
    copiedAt: site.deps.clock().toISOString(),
    does(path: string, fields: Record<string, string>) {
      const id = fields.id ?? randomUUID()
      seq += 1
      const act = {
        ...{ shift: token, act: id, seq: String(seq), path, cookies: '' },
        form: new URLSearchParams({ id, ...fields }).toString(),
        doneAt: site.deps.clock().toISOString(),
        copiedAt: tablet.copiedAt,
        edition: site.deps.library.current().id,
      }
      site.pass(1)
      return {
        id,
        async send() {
          const { status, html } = await depot.post('/tablet/acts', act)
          if (status !== 200) throw new Error(`The depot refused an act: ${status} ${html}`)
          return JSON.parse(html).apart
        },
      }
    },
  }
  return tablet
}

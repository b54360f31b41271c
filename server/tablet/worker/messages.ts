// What pages ask the worker, and what it tells them.

import { drop, inTurn, shiftNow, unsent } from './carrying.ts'
/// <reference lib="webworker" />
import { contact } from './contact.ts'
import { carry, fieldsOf, sendAll } from './depot.ts'

/**
 * `carry`: take the depot along; `drop`: carry it no longer; `send`: send what waits; `copy`: what
 * waits, to be saved as a file; `state`: how it stands.
 */
export async function heard({ data, ports }: ExtendableMessageEvent): Promise<void> {
  const trouble = await act(String(data)).catch((error: unknown) =>
    error instanceof Error ? error.message : 'That did not work.',
  )
  const acts = data === 'copy' ? (await unsent()).map(fieldsOf) : undefined
  ports[0]?.postMessage({ ...(await state()), trouble, acts })
}

async function act(asked: string): Promise<null> {
  if (asked === 'carry') await carry()
  else if (asked === 'drop') await inTurn(drop)
  else if (asked === 'send') await sendAll()
  return null
}

async function state() {
  const [shift, waiting, { lostAt }] = await Promise.all([shiftNow(), unsent(), contact()])
  return {
    carrying: shift !== null && !shift.locked,
    person: shift?.about.person.name ?? null,
    madeAt: shift?.about.madeAt ?? null,
    unsent: waiting.length,
    lostAt,
  }
}

import { people } from '../support/site.ts'
import type { Hands } from './hands.ts'

/** The whole main job, from the report to the signed record, as a technician does it; gives the record's address. */
export async function doMainJob(hands: Hands): Promise<string> {
  await hands.signIn('wren')
  return doMainJobSignedIn(hands)
}

export async function doMainJobSignedIn(hands: Hands): Promise<string> {
  const { tile, tap, fill, sees, reading } = hands
  await tap('Report a fault')
  await fill('Site, position or plate', 'WH-3-U')
  await tap('Find')
  await tap('Overspeed loops, up')
  await tap('Report a fault here')
  await tile('Telltale dark')
  await fill('In their words', 'Blue lamp flashing')
  await fill('Who reported it', 'signaller, panel 2')
  await tile('Still working')
  await tap('Report it')
  await sees('No earlier fault is on record here')
  await tap('Attend')
  await tile('Seen')
  await fill('Who did you speak to', 'signaller, panel 2')
  await tile('line blocked')
  await tile('nothing isolated')
  await fill('Code on the plate', 'WH-3-U')
  await tap('Start')
  await sees('Hold the probes on S1 and S2')
  await reading('110')
  await tap('Record it')
  await sees('In range')
  await sees('Take the wire off L1')
  await reading('5.5')
  await tap('Record it')
  await sees('The loop is not whole')
  await tap('Cause: Loop broken')
  await sees('Mend the loop wire')
  await tap('Record what was done')
  await tile('Cable repaired')
  await fill('In words', 'wire worn through at the clip, jointed')
  await tap('Record it')
  await proveAndClose(hands)
  return hands.page.url()
}

async function proveAndClose({ tile, tap, fill, sees, reading }: Hands): Promise<void> {
  await sees('0 of 1 restored')
  await tap('Restored')
  await sees('0 of 2 proved')
  await tap('Loop resistance')
  await reading('1.2')
  await tap('Record it')
  await sees('1 of 2 proved')
  // The proof took the wire off: it goes back before the symptom is looked at.
  await sees('Until then it does not count')
  await tap('Go on')
  await sees('1 of 2 restored')
  await tap('Restored')
  await tap('It is gone')
  await tile('Proven cause')
  await fill('What was changed', 'loop wire jointed')
  await fill('What should the next person know', 'watch the clip')
  await tap('Read it once more')
  await fill('Your name', people.wren.name)
  await tap('Sign and close')
  await sees('Signed: Wren Aldous')
}

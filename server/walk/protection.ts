import type { Fault } from './record.ts'

/** What the report says of train protection, in a sentence. */
export const protectionWords: Record<Fault['protection'], string> = {
  kept: 'Train protection was still working.',
  lost: 'Train protection was lost.',
  'not known': 'It is not known whether train protection was lost.',
}

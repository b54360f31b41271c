import type { Knowledge } from '../knowledge/types.ts'
import type { Storage } from '../storage/storage.ts'
import type { Times } from '../times.ts'

/** What the review reads from; a web handler's `Deps` is one. */
export interface ReviewSource {
  storage: Storage
  library: { current(): { knowledge: Knowledge } }
  clock: () => Date
  /** Shows times in the depot's time zone. */
  times: Times
  config: { timeZone: string }
}

import type { Drafts } from '../read/draft.ts'
import type { Names } from '../read/names.ts'
import type { Equipment, Knowledge } from '../types.ts'

/** What the checks of names see. */
export interface LinkContext {
  drafts: Drafts
  names: Names
  equipment: Map<string, Equipment>
}

/** What the checks of the graph see. */
export interface GraphContext extends LinkContext {
  knowledge: Knowledge
  /** Paths of files with errors found before: what leads through them can't be judged. */
  damaged: ReadonlySet<string>
}

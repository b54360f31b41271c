import { memo } from '../cache.ts'
import { resolveConstant } from '../measurement/limits/expectation.ts'

/**
 * The range of an expectation that needs no facts, in base units; null when it needs some or comes to
 * nothing. Worked out once for each expectation, as a band is asked for it at every reading.
 */
export const constantBounds = memo(resolveConstant)

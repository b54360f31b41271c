// Runs before each test file.

import { setHashCost } from '../../server/auth/pins.ts'
import { cheapCost } from './hash-cost.ts'

setHashCost(cheapCost)

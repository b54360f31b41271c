// npm start [-- --fresh]: the program on real data. With --fresh it begins a new, empty database where there was one before
// and is none now; what is left of that is set aside.

import { start } from './start.ts'

await start(process.env, { fresh: process.argv.slice(2).includes('--fresh') })

// Preloaded by npm scripts, the service and the container. Plain JavaScript, so that an old Node can read
// it and say so in one line before it meets TypeScript or the database's native module.

import module from 'node:module'
import { fileURLToPath } from 'node:url'

const needed = 24
const running = process.versions.node

if (Number.parseInt(running, 10) < needed) {
  console.error(
    `Fourfoot needs Node ${needed} or newer; this is Node ${running} (${process.execPath}). \`npm ci\` installs a Node ${needed} of its own: start with npm.`,
  )
  process.exit(1)
}

// What Node makes of the TypeScript is cached for the next start, where the program's folder can be written; a shared
// folder for temporary files would let another user of the machine put code there.
module.enableCompileCache(fileURLToPath(new URL('../node_modules/.cache/node', import.meta.url)))
// Written while it runs too: a program that is killed has it at its next start.
setTimeout(() => module.flushCompileCache(), 10_000).unref()

import { defineConfig } from 'vitest/config'

const everything = 'tests/**/*.test.ts'
const browser = 'tests/browser/**/*.test.ts'
/** These start the whole program, load a railway of three years, or try thousands of cases. */
const slow = [
  'tests/start.test.ts',
  'tests/attack/injection.test.ts',
  'tests/attack/hostile/try-all.test.ts',
  'tests/auth/secrets.test.ts',
  'tests/bench/**/*.test.ts',
  'tests/demo/*.test.ts',
  'tests/exchange/read-table.test.ts',
  'tests/knowledge/{compile,fuzz}.test.ts',
  'tests/ops/{commands,container,database-watch,dev,follow,rescue,require-node,uncaught}.test.ts',
  'tests/practice/{pack,trials}.test.ts',
  'tests/storage/engine/kill.test.ts',
  'tests/storage/engine/kill-jobs.test.ts',
  'tests/storage/faults/past-faults.test.ts',
  'tests/storage/safekeeping/*.test.ts',
  'tests/tablet/sending.test.ts',
  'tests/web/author/author-fuzz.test.ts',
  'tests/web/engineer/{import-killed,review*}.test.ts',
  'tests/web/host/kill-server.test.ts',
]

// Only a failure takes as long as these times: a machine with much else to do is no reason to fail.
export default defineConfig({
  test: {
    globalSetup: 'tests/support/whole-run.ts',
    // A worker keeps the modules it has loaded from one file to the next: no test changes a module.
    isolate: false,
    maxWorkers: '100%',
    testTimeout: 180_000,
    hookTimeout: 180_000,
    expect: { poll: { timeout: 60_000 } },
    projects: [
      { extends: true, test: { name: 'browser', include: [browser] } },
      { extends: true, test: { name: 'fast', include: [everything], exclude: [browser, ...slow] } },
      { extends: true, test: { name: 'slow', include: slow } },
    ],
  },
})

import { defineConfig } from 'vitest/config'

const everything = 'tests/**/*.test.ts'
const browser = 'tests/browser/**/*.test.ts'
/** Those that start the whole program, load a railway of three years, or try thousands of cases. */
const slow: string[] = []

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

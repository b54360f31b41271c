import { defineConfig } from 'vitest/config'

// Only a failure takes as long as these: a machine with much else to do is no reason to fail.
export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    // A worker keeps the modules it has loaded from one file to the next: no test changes a module.
    isolate: false,
    testTimeout: 180_000,
    hookTimeout: 180_000,
    expect: { poll: { timeout: 60_000 } },
  },
})

import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import type { TestProject } from 'vitest/node'

declare module 'vitest' {
  export interface ProvidedContext {
    /** Folder of what is made once for all test files; it goes after the last. */
    runFolder: string
  }
}

/**
 * Runs once before all test files. Whatever tests put among temporary files, also those that were stopped half way,
 * lies in one folder and goes with it. Programs that tests start find there what an earlier one compiled.
 */
export default function setUp(project: TestProject): () => void {
  const before = process.env.TMPDIR
  const folder = mkdtempSync(path.join(tmpdir(), 'fourfoot-tests-'))
  project.provide('runFolder', folder)
  process.env.TMPDIR = folder
  process.env.NODE_COMPILE_CACHE = path.join(folder, 'compiled')
  return () => {
    if (before === undefined) delete process.env.TMPDIR
    else process.env.TMPDIR = before
    delete process.env.NODE_COMPILE_CACHE
    rmSync(folder, { recursive: true, force: true })
  }
}

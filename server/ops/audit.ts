// Asks the package registry whether a package that runs in production has a known hole that is high or critical. Where
// the registry does not answer, it says so and lets the check go on: a depot's machine may have no way out.

import { spawnSync } from 'node:child_process'
import path from 'node:path'
import { judgeAudit } from './audit-verdict.ts'

const LIMIT_MS = 20_000
const args = [
  'audit',
  '--omit=dev',
  '--audit-level=high',
  '--json',
  '--fetch-retries=0',
  '--fetch-timeout=15000',
]
const asked = spawnSync('npm', args, {
  cwd: path.resolve(import.meta.dirname, '../..'),
  encoding: 'utf8',
  timeout: LIMIT_MS,
  maxBuffer: 2 ** 26,
})
const { failed, words } = judgeAudit(asked.stdout ?? '')
if (failed) {
  console.error(words)
  process.exitCode = 1
} else console.log(words)

// What the commands that are run beside the service have in common: its settings, its rights, and one line for what stops
// them.

import { existsSync, statSync } from 'node:fs'
import path from 'node:path'
import { type ParseArgsConfig, parseArgs } from 'node:util'
import { type Config, readConfig } from '../config.ts'
import { explains, root } from '../start.ts'
import { BackupError } from '../storage/safekeeping/backup-error.ts'
import { serviceSettings, unitOf } from './service-settings.ts'

export interface Command {
  config: Config
  database: string
  /** The options given, beside `--unit`. */
  values: Record<string, unknown>
  positionals: string[]
}

/**
 * Runs a command with the settings of the service: those of the unit named with `--unit FILE` (of the installed one when it
 * runs this program; of none with `--unit=`), and over them what the command's own environment says. As root it takes
 * on the rights of whoever has DATA_DIR, so that all it writes is the service's. What fails is one line and the end 1.
 */
export async function runCommand(
  options: NonNullable<ParseArgsConfig['options']>,
  run: (command: Command) => void | Promise<void>,
): Promise<void> {
  try {
    const given = parseArgs({ options: { ...options, unit: { type: 'string' } }, allowPositionals: true })
    const { unit = unitOf(root), ...values } = given.values as { unit?: string }
    const config = readConfig({ ...(unit ? serviceSettings(unit) : {}), ...process.env })
    becomeOwner(config.dataDir)
    const database = path.join(config.dataDir, 'fourfoot.db')
    await run({ config, database, values, positionals: given.positionals })
  } catch (error) {
    process.exitCode = 1
    if (!(error instanceof BackupError || isOneLine(error))) {
      if (!explains(error)) throw error
    } else console.error(error.message)
  }
}

/** What the system refused, and an option there isn't, are said by their own message. */
function isOneLine(error: unknown): error is Error {
  if (!(error instanceof Error) || !('code' in error) || typeof error.code !== 'string') return false
  return 'syscall' in error || error.code.startsWith('ERR_PARSE_ARGS_')
}

/** Nothing when this is not root, or the folder is root's or not there. */
function becomeOwner(folder: string): void {
  if (process.getuid?.() !== 0 || !existsSync(folder)) return
  const { uid, gid } = statSync(folder)
  if (uid === 0) return
  process.setgroups?.([gid])
  process.setgid?.(gid)
  process.setuid?.(uid)
}

// The settings of the service, for a command that is run beside it: what its unit and the files named there set.

import { existsSync, readFileSync } from 'node:fs'
import { parseEnv } from 'node:util'
import { ConfigError } from '../config.ts'

/** Where the unit is once it is installed. */
export const installedUnit = '/etc/systemd/system/fourfoot.service'

type Env = Record<string, string | undefined>

/** What the service is given: its unit's variables, over them those of its files. Throws ConfigError when one can't be read. */
export function serviceSettings(unit: string): Env {
  const lines = serviceLines(read(unit))
  const variables = valuesOf(lines, 'Environment').flatMap(assignments)
  const files = valuesOf(lines, 'EnvironmentFile').flatMap(name => {
    const file = name.replace(/^-/, '')
    return file !== name && !existsSync(file) ? [] : [parseEnv(read(file))]
  })
  return Object.assign(Object.fromEntries(variables), ...files)
}

/** The installed unit, when it is there and runs the program in this folder; else null. */
export function unitOf(program: string, unit = installedUnit): string | null {
  if (!existsSync(unit)) return null
  return valuesOf(serviceLines(read(unit)), 'WorkingDirectory').includes(program) ? unit : null
}

function serviceLines(text: string): string[] {
  const section = text.split(/^\[Service\]$/m)[1]?.split(/^\[/m)[0] ?? ''
  return section.split('\n').map(line => line.trim())
}

function valuesOf(lines: string[], name: string): string[] {
  return lines.filter(line => line.startsWith(`${name}=`)).map(line => line.slice(name.length + 1).trim())
}

/** `A=1 "B=two words"` → pairs. */
function assignments(value: string): [string, string][] {
  const words = value.match(/"[^"]*"|'[^']*'|\S+/g) ?? []
  return words.map(word => {
    const [name = '', ...rest] = word.replace(/^(["'])(.*)\1$/, '$2').split('=')
    return [name, rest.join('=')]
  })
}

function read(file: string): string {
  try {
    return readFileSync(file, 'utf8')
  } catch (cause) {
    const why = cause instanceof Error && 'code' in cause ? cause.code : cause
    throw new ConfigError(`The service’s settings in ${file} can’t be read (${why}). Run it as root.`, {
      cause,
    })
  }
}

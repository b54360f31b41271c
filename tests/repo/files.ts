import { execFileSync } from 'node:child_process'
import { readdirSync, readFileSync } from 'node:fs'
import path from 'node:path'

export const root = path.join(import.meta.dirname, '../..')

/** Files below a folder of the repository whose names end so, as paths from its root with `/`. */
export function filesBelow(folder: string, ending: string): string[] {
  return readdirSync(path.join(root, folder), { recursive: true, encoding: 'utf8' })
    .filter(name => name.endsWith(ending))
    .map(name => path.posix.join(folder, name.split(path.sep).join('/')))
    .sort()
}

export function textOf(file: string): string {
  return readFileSync(path.join(root, file), 'utf8')
}

/** Everything git tracks; empty outside a checkout. */
export function tracked(): string[] {
  try {
    return execFileSync('git', ['ls-files'], { cwd: root, encoding: 'utf8' }).split('\n').filter(Boolean)
  } catch {
    return []
  }
}

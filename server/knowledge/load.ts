// The one place that reads the knowledge folder from the disk.

import { createHash } from 'node:crypto'
import { lstatSync, readdirSync, readFileSync, realpathSync, statSync } from 'node:fs'
import { join, relative, sep } from 'node:path'
import type { Problem } from './problem.ts'
import { fileEmptyProblem } from './rules/file-empty.ts'
import { fileNotUtf8Problem } from './rules/file-not-utf8.ts'
import { fileOutsideProblem } from './rules/file-outside.ts'
import { fileTooLargeProblem, LARGEST_FILE } from './rules/file-too-large.ts'
import type { SourceFile } from './types.ts'

/** Folders inside the knowledge folder that are read; anything else there is left alone. */
const FOLDERS = ['equipment', 'trees']

/**
 * Reads `equipment/*.md` and `trees/*.md`, in the order of their paths. A
 * file that is not UTF-8, is empty, is larger than 1 MB, or leads out of
 * the folder is left out and reported; so is a folder that can't be read.
 */
export function readKnowledge(dir: string): { files: SourceFile[]; problems: Problem[] } {
  const files: SourceFile[] = []
  const problems: Problem[] = []
  const root = realRoot(dir)
  if (root === null) return { files, problems: [fileOutsideProblem('', `There is no folder ${dir}.`)] }
  for (const path of FOLDERS.flatMap(folder => markdownIn(root, folder))) {
    const read = readOne(root, path)
    if ('code' in read) problems.push(read)
    else files.push(read)
  }
  return { files, problems }
}

/** SHA-256 of a text, in hexadecimal. */
export function hashFile(text: string): string {
  return createHash('sha256').update(text, 'utf8').digest('hex')
}

/**
 * One id for a whole folder: the SHA-256 over each path and the hash of its text, in the order of the paths.
 */
export function hashEdition(files: SourceFile[]): string {
  const hash = createHash('sha256')
  for (const file of [...files].sort((a, b) => (a.path < b.path ? -1 : 1))) {
    hash.update(`${file.path}\0${hashFile(file.text)}\n`, 'utf8')
  }
  return hash.digest('hex')
}

function realRoot(dir: string): string | null {
  try {
    return realpathSync(dir)
  } catch {
    return null
  }
}

function markdownIn(root: string, folder: string): string[] {
  try {
    if (lstatSync(join(root, folder)).isSymbolicLink() && !isInside(root, join(root, folder))) return [folder]
    const names = readdirSync(join(root, folder)).filter(name => name.endsWith('.md') && name !== 'README.md')
    return names.sort().map(name => `${folder}/${name}`)
  } catch {
    return []
  }
}

function readOne(root: string, path: string): SourceFile | Problem {
  const full = join(root, path)
  try {
    if (!isInside(root, full))
      return fileOutsideProblem(path, 'It is a link that leads out of the knowledge folder.')
    const { size } = statSync(full)
    if (size > LARGEST_FILE) return fileTooLargeProblem(path, size)
    const text = decode(readFileSync(full))
    if (text === null) return fileNotUtf8Problem(path)
    return text.trim() === '' ? fileEmptyProblem(path) : { path, text }
  } catch {
    return fileOutsideProblem(path, 'It can’t be read.')
  }
}

function isInside(root: string, full: string): boolean {
  const way = relative(root, realpathSync(full))
  return way !== '..' && !way.startsWith(`..${sep}`)
}

function decode(bytes: Uint8Array): string | null {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes)
  } catch {
    return null
  }
}

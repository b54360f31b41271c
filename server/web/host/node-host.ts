// What handlers ask of the host, on a server with a disk and processes.

import { fork } from 'node:child_process'
import { existsSync, readFileSync } from 'node:fs'
import path from 'node:path'
import { fileURLToPath } from 'node:url'
import type { Config } from '../../config.ts'
import type { Quality } from '../../diagnosis/judging/quality.ts'
import { readApart } from '../../exchange/read-apart.ts'
import type { ToJudge } from '../../review/apart/judge-ranking.ts'
import type { ToWeigh, Weighed } from '../../review/apart/worth-of-missing.ts'
import { photoPath, savePhotoFile } from '../../storage/safekeeping/photo-files.ts'
import type { Host } from '../deps.ts'
import { styleSheets } from './middleware/assets.ts'

export function createNodeHost({ dataDir, knowledgeDir }: Config, viewsDir: string): Host {
  return {
    keepPicture: bytes => savePhotoFile(dataDir, Buffer.from(bytes)),
    pictureBytes: sha256 => bytesIfThere(photoPath(dataDir, sha256)),
    picturePath: sha256 => photoPath(dataDir, sha256),
    styleSheets: () => styleSheets(viewsDir),
    listOfSources: () => readIfThere(path.join(knowledgeDir, 'sources.md')),
    readTable: readApart,
    judgeRanking,
    weighMissing,
    whenIdle: run => void setImmediate(run),
  }
}

function bytesIfThere(file: string): Uint8Array | null {
  return existsSync(file) ? readFileSync(file) : null
}

function readIfThere(file: string): string | null {
  return existsSync(file) ? readFileSync(file, 'utf8') : null
}

const judgeRanking = workedOutApart<ToJudge, Quality>('../../review/apart/judge-ranking.ts')
const weighMissing = workedOutApart<ToWeigh, Weighed[]>('../../review/apart/worth-of-missing.ts')

/** Has a script of ours work something out in a process of its own; null when it could not. */
function workedOutApart<Asked extends object, Found>(script: string) {
  return (asked: Asked, done: (found: Found | null) => void): void => {
    const apart = fork(fileURLToPath(new URL(script, import.meta.url)), { stdio: 'ignore' })
    let found: Found | null = null
    const stop = () => apart.kill()
    process.once('exit', stop)
    apart.unref()
    apart.channel?.unref()
    apart.once('message', message => {
      found = message as Found
    })
    apart.once('exit', () => {
      process.off('exit', stop)
      done(found)
    })
    apart.send(asked)
  }
}

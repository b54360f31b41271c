// What handlers ask of the host, on a server with a disk and processes.

import { fork } from 'node:child_process'
import { existsSync, readFileSync } from 'node:fs'
import path from 'node:path'
import { fileURLToPath } from 'node:url'
import type { Config } from '../../config.ts'
import type { Quality } from '../../diagnosis/judging/quality.ts'
import { readApart } from '../../exchange/read-apart.ts'
import type { ToJudge } from '../../review/judge-ranking.ts'
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
    whenIdle: run => void setImmediate(run),
  }
}

function bytesIfThere(file: string): Uint8Array | null {
  return existsSync(file) ? readFileSync(file) : null
}

function readIfThere(file: string): string | null {
  return existsSync(file) ? readFileSync(file, 'utf8') : null
}

function judgeRanking(asked: ToJudge, done: (quality: Quality | null) => void): void {
  const judge = fork(fileURLToPath(new URL('../../review/judge-ranking.ts', import.meta.url)), {
    stdio: 'ignore',
  })
  let quality: Quality | null = null
  const stop = () => judge.kill()
  process.once('exit', stop)
  judge.unref()
  judge.channel?.unref()
  judge.once('message', found => {
    quality = found as Quality
  })
  judge.once('exit', () => {
    process.off('exit', stop)
    done(quality)
  })
  judge.send(asked)
}

import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import { chromium, type Page } from 'playwright-core'
import { onTestFinished } from 'vitest'
import { browserPath, browserSwitches, patienceMs } from './browser.ts'
import { fontsOnly } from './fonts.ts'

/** A browser of our own with a profile on disk, which can be killed without a word of warning. */
export interface OwnBrowser {
  page(): Promise<Page>
  /** Ends every process of it at once, as a flat battery would. */
  kill(): Promise<void>
}

/** A place for a profile, taken away after the test, and a way to start a browser on it, again and again. */
export function ownProfile(): () => Promise<OwnBrowser> {
  const profile = mkdtempSync(path.join(tmpdir(), 'fourfoot-profile-'))
  onTestFinished(async () => {
    await endAll(profile)
    rmSync(profile, { recursive: true, force: true })
  })
  return async () => {
    const context = await chromium.launchPersistentContext(profile, {
      executablePath: browserPath(),
      args: browserSwitches,
      timeout: patienceMs,
      // What a killed browser leaves behind goes with its profile.
      env: { ...process.env, ...fontsOnly(), TMPDIR: profile },
    })
    context.setDefaultTimeout(patienceMs)
    return {
      page: () => context.newPage(),
      async kill() {
        const gone = new Promise(done => context.once('close', done))
        await endAll(profile)
        await gone
      },
    }
  }
}

/** A browser is many processes, and those left over go on writing to the profile: waits until the last is gone. */
async function endAll(profile: string): Promise<void> {
  const groups = new Set(
    running()
      .filter(({ line }) => line.includes(`--user-data-dir=${profile}`))
      .map(({ group }) => group),
  )
  while (running().some(({ group }) => groups.has(group))) {
    for (const group of groups) kill(group)
    await pause(20)
  }
}

function kill(group: number): void {
  try {
    process.kill(-group, 'SIGKILL')
  } catch {}
}

/** What runs on this machine; a process that has ended and was not yet cleared away does not. */
function running(): { group: number; line: string }[] {
  return readdirSync('/proc')
    .filter(name => /^\d+$/.test(name))
    .flatMap(pid => {
      try {
        const stat = readFileSync(`/proc/${pid}/stat`, 'utf8')
        // State, parent, group and so on; the name before them may hold anything.
        const [state, , group] = stat.slice(stat.lastIndexOf(')') + 2).split(' ')
        const line = readFileSync(`/proc/${pid}/cmdline`, 'utf8')
        return state === 'Z' || state === 'X' ? [] : [{ group: Number(group), line }]
      } catch {
        return []
      }
    })
}

// How long the commands of a contributor take, each run as from a shell.

import { type ChildProcess, spawn } from 'node:child_process'
import { once } from 'node:events'
import { copyFileSync, existsSync, mkdtempSync, readFileSync } from 'node:fs'
import path from 'node:path'
import type { Bench } from './run.ts'
import { exitOnSignals, runFolder } from './shared.ts'

const root = path.join(import.meta.dirname, '../..')
const packageFiles = ['package.json', 'package-lock.json', '.npmrc', '.nvmrc']

const most = (value: number) => ({ at: 'most' as const, value })

export const benches: Bench[] = [
  // What the registry serves comes from npm's cache where it is there already.
  { name: 'ci-install-s', unit: 's', goal: most(25), run: installing },
  { name: 'tests-fast-s', unit: 's', goal: most(60), run: () => script('test:fast') },
  { name: 'tests-all-s', unit: 's', goal: most(300), run: () => script('test') },
  { name: 'demo-ready-s', unit: 's', goal: most(5), run: demoReady },
]

function installing(): Promise<number> {
  const folder = mkdtempSync(path.join(runFolder(), 'install-'))
  for (const file of packageFiles)
    if (existsSync(path.join(root, file))) copyFileSync(path.join(root, file), path.join(folder, file))
  return seconds(folder, ['ci', '--no-fund', '--no-audit'])
}

async function script(name: string): Promise<number> {
  const { scripts } = JSON.parse(readFileSync(path.join(root, 'package.json'), 'utf8'))
  if (!scripts[name]) throw new Error(`package.json has no script “${name}”.`)
  return seconds(root, ['run', name])
}

/** Of npm with these arguments. Throws with the end of its output when it fails: its time would say nothing. */
async function seconds(folder: string, args: string[]): Promise<number> {
  const began = performance.now()
  const npm = startNpm(folder, args)
  let said = ''
  const listen = (chunk: Buffer) => {
    said = (said + chunk).slice(-20_000)
  }
  npm.stdout?.on('data', listen)
  npm.stderr?.on('data', listen)
  const [code] = await once(npm, 'close')
  const taken = (performance.now() - began) / 1000
  if (code !== 0) throw new Error(`npm ${args.join(' ')} ended with ${code}:\n${said.slice(-2000)}`)
  return taken
}

/** The middle of three, each from the command until the address it prints answers with 200. */
async function demoReady(): Promise<number> {
  const times: number[] = []
  for (let turn = 0; turn < 3; turn++) times.push(await oneDemo())
  return times.sort((a, b) => a - b)[1] ?? Number.NaN
}

async function oneDemo(): Promise<number> {
  const began = performance.now()
  const npm = startNpm(root, ['run', 'demo'], { PORT: '0' })
  const closed = once(npm, 'close')
  try {
    const address = await printedAddress(npm)
    while ((await fetch(address)).status !== 200) await new Promise(done => setTimeout(done, 10))
    return (performance.now() - began) / 1000
  } finally {
    stop(npm)
    await closed
  }
}

/** Reads on after the address: a pipe that is closed would end the demo. */
function printedAddress({ stdout, stderr }: ChildProcess): Promise<string> {
  return new Promise((resolve, reject) => {
    let said = ''
    let complaint = ''
    stdout?.on('data', chunk => {
      said += chunk
      const address = /http:\/\/\S+(?=\s)/.exec(said)?.[0]
      if (address) resolve(address)
    })
    stderr?.on('data', chunk => {
      complaint += chunk
    })
    stdout?.once('close', () =>
      reject(new Error(`The demo ended before it printed an address: ${complaint}`)),
    )
  })
}

/** In a process group of its own, so that what npm starts is stopped with it, also when this process ends first. */
function startNpm(folder: string, args: string[], more: NodeJS.ProcessEnv = {}): ChildProcess {
  const npm = spawn('npm', args, {
    ...{ cwd: folder, detached: true, stdio: ['ignore', 'pipe', 'pipe'] },
    env: { ...shellEnvironment(process.env), ...more },
  })
  const atExit = () => stop(npm)
  exitOnSignals()
  process.once('exit', atExit)
  npm.once('close', () => process.off('exit', atExit))
  return npm
}

function stop({ pid, exitCode, signalCode }: ChildProcess): void {
  if (pid !== undefined && exitCode === null && signalCode === null) process.kill(-pid, 'SIGTERM')
}

/** Without what npm adds for a script: settings, and the packages' commands on the path. */
export function shellEnvironment(env: NodeJS.ProcessEnv): NodeJS.ProcessEnv {
  const added = /^(npm_.*|node|init_cwd)$/i
  const parts = (env.PATH ?? '').split(path.delimiter)
  const own = parts.filter(part => !/[/\\]node_modules[/\\]\.bin$|node-gyp-bin$/.test(part))
  const kept = Object.entries(env).filter(([name]) => !added.test(name))
  return { ...Object.fromEntries(kept), PATH: own.join(path.delimiter) }
}

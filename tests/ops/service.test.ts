// Source of what each line means: systemd.exec(5) and systemd.resource-control(5) of systemd 252 (values from memory; the
// unit was held against `systemd-analyze verify` and `systemd-analyze security` of that version).

import { describe, expect, it } from 'vitest'
import { textOf } from '../repo/files.ts'

/** What each line of the section sets; a name that stands more than once has more than one value. */
function section(name: string): Map<string, string[]> {
  const text = textOf('server/ops/fourfoot.service').split(`[${name}]\n`)[1]?.split(/^\[/m)[0] ?? ''
  const lines = new Map<string, string[]>()
  for (const [, key = '', value = ''] of text.matchAll(/^(\w+)=(.*)$/gm))
    lines.set(key, [...(lines.get(key) ?? []), value])
  return lines
}

const service = section('Service')
const one = (name: string) => service.get(name)?.join(' ')

describe('the service', () => {
  it('runs as a user without rights, and can get none', () => {
    expect(one('User')).toBe('fourfoot')
    expect([one('CapabilityBoundingSet'), one('NoNewPrivileges'), one('RestrictSUIDSGID')]).toEqual([
      '',
      'yes',
      'yes',
    ])
  })

  it('writes in its own folder and nowhere else, where nobody else can read', () => {
    expect([one('ProtectSystem'), one('ProtectHome'), one('StateDirectory')]).toEqual([
      'strict',
      'yes',
      'fourfoot',
    ])
    expect([one('StateDirectoryMode'), one('UMask')]).toEqual(['0700', '0077'])
    expect(service.has('ReadWritePaths')).toBe(false)
    expect(one('Environment')).toBe(`DATA_DIR=/var/lib/${one('StateDirectory')}`)
  })

  it('can’t read how its own source came about', () => {
    expect(one('InaccessiblePaths')).toBe(`-${one('WorkingDirectory')}/.git`)
  })

  it('reaches this machine and no other, in or out', () => {
    expect([one('IPAddressDeny'), one('IPAddressAllow')]).toEqual(['any', 'localhost'])
  })

  it('asks the kernel for what a service needs and no more', () => {
    expect(service.get('SystemCallFilter')).toEqual(['@system-service', '~@privileged @resources'])
    for (const name of [
      'Clock',
      'Hostname',
      'KernelLogs',
      'KernelModules',
      'KernelTunables',
      'ControlGroups',
    ])
      expect([name, one(`Protect${name}`)]).toEqual([name, 'yes'])
    // Node makes machine code as it runs, and would not start.
    expect(service.has('MemoryDenyWriteExecute')).toBe(false)
  })

  it('comes back after a fall, is not started for ever, and closes the database in time', () => {
    expect([one('Restart'), one('KillSignal')]).toEqual(['on-failure', 'SIGTERM'])
    expect(Number(one('TimeoutStopSec'))).toBeGreaterThan(30)
    expect(section('Unit').get('StartLimitBurst')).toEqual(['5'])
  })

  it('has no secret among its settings', () => {
    expect(textOf('server/ops/fourfoot.service')).not.toMatch(/(PASSWORD|SECRET|TOKEN|KEY)=/i)
  })
})

describe('the proxy', () => {
  const caddyfile = textOf('server/ops/Caddyfile')

  it('speaks TLS of the two versions in use, and reaches the program on this machine only', () => {
    expect(caddyfile).toMatch(/^\t\tprotocols tls1\.2 tls1\.3$/m)
    expect(caddyfile).toMatch(/^\treverse_proxy 127\.0\.0\.1:4700$/m)
    expect(caddyfile).not.toMatch(/^http:|auto_https off|trusted_proxies/m)
  })

  it('takes files as large as the program does', async () => {
    const { limits } = await import('../../server/exchange/table.ts')
    const most = Number(/max_size (\d+)MB/.exec(caddyfile)?.[1]) * 1_000_000
    expect(most).toBeGreaterThan(limits.bytes * 1.2)
  })
})

describe('a log in a file of its own', () => {
  const words = textOf('server/ops/logrotate.conf')

  it('is emptied in place, and ninety days of it are kept', () => {
    for (const line of ['copytruncate', 'daily', 'rotate 90', 'maxage 90'])
      expect(words).toMatch(new RegExp(`^ {4}${line}$`, 'm'))
  })
})

// Source of the report's shape, auditReportVersion 2: npm 11's own code that prints it, `toJSON` in audit-report.js and
// vuln.js of its @npmcli/arborist (read in source); the fields of an advisory besides title, url and severity are values
// from memory. The answer of a registry without the service is what npm 11 printed. Packages and advisories are made up.

import { describe, expect, it } from 'vitest'
import { judgeAudit } from '../../server/ops/audit-verdict.ts'

const counts = { info: 0, low: 0, moderate: 0, high: 0, critical: 0, total: 0 }
const dependencies = { prod: 130, dev: 90, optional: 40, peer: 0, peerOptional: 0, total: 220 }

const reportOf = (vulnerabilities: Record<string, unknown>, version: unknown = 2) =>
  JSON.stringify({
    auditReportVersion: version,
    vulnerabilities,
    metadata: { vulnerabilities: counts, dependencies },
  })

const package_ = (name: string, severity: string, via: unknown[]) => ({
  ...{ name, severity, isDirect: false, via, effects: [], range: '<=1.4.2' },
  ...{ nodes: [`node_modules/${name}`], fixAvailable: true },
})

const advisory = (name: string, severity: string) => ({
  ...{ source: 1099999, name, dependency: name, title: `A hole in ${name}`, severity },
  ...{ url: 'https://example.org/advisories/1', cwe: ['CWE-400'], range: '<=1.4.2' },
  cvss: { score: 7.5, vectorString: 'CVSS:3.1/AV:N/AC:L/PR:N/UI:N/S:U/C:N/I:N/A:H' },
})

describe('what the audit means', () => {
  it('passes with no finding', () => {
    expect(judgeAudit(reportOf({}))).toEqual({
      failed: false,
      words: 'Packages audited: none high or critical in production.',
    })
  })

  it.each(['high', 'critical'])('fails on a %s finding and names package, range and advisory', severity => {
    const found = reportOf({ parser: package_('parser', severity, [advisory('parser', severity)]) })
    expect(judgeAudit(found)).toEqual({
      failed: true,
      words: `parser <=1.4.2: ${severity}: A hole in parser (https://example.org/advisories/1)`,
    })
  })

  it('fails on a package that is only affected through another', () => {
    const { failed, words } = judgeAudit(
      reportOf({
        parser: package_('parser', 'high', [advisory('parser', 'high')]),
        server: package_('server', 'high', ['parser']),
      }),
    )
    expect(failed).toBe(true)
    expect(words.split('\n')).toHaveLength(2)
    expect(words).toContain('server <=1.4.2: high: through parser')
  })

  it('passes on lesser findings, and counts them', () => {
    const lesser = ['info', 'low', 'moderate'].map(severity => [
      severity,
      package_(severity, severity, [advisory(severity, severity)]),
    ])
    const { failed, words } = judgeAudit(reportOf(Object.fromEntries(lesser)))
    expect(failed).toBe(false)
    expect(words).toContain('3 lesser findings')
  })

  it('passes and says so when the registry has no such service', () => {
    const refused = {
      message: '405 Method Not Allowed - POST https://registry.example/-/npm/v1/security/advisories/bulk',
      ...{ method: 'POST', statusCode: 405, body: '', error: { summary: '', detail: '' } },
    }
    const { failed, words } = judgeAudit(JSON.stringify(refused))
    expect(failed).toBe(false)
    expect(words).toMatch(/^Packages NOT audited: the registry gave no answer \(405 Method Not Allowed/)
  })

  it.each([
    ['nothing at all', ''],
    ['words', 'npm error network'],
    ['half a report', '{"auditReportVersion": 2, "vuln'],
    ['no such host', '{"error": {"code": "ENOTFOUND", "summary": "getaddrinfo", "detail": ""}}'],
    ['another JSON', '[]'],
  ])('passes and says so on %s', (_, output) => {
    const { failed, words } = judgeAudit(output)
    expect(failed).toBe(false)
    expect(words).toContain('NOT audited')
  })

  it.each(['ENOLOCK', 'EUSAGE', 'EJSONPARSE'])('fails on %s, which is a fault of this folder', code => {
    const said = { error: { code, summary: 'This command requires an existing lockfile.', detail: '' } }
    expect(judgeAudit(JSON.stringify(said))).toEqual({
      failed: true,
      words: 'npm audit could not run: This command requires an existing lockfile.',
    })
  })

  it('fails on a report in a form it does not know, so that nobody takes it for a clean one', () => {
    expect(judgeAudit(reportOf({}, 3)).failed).toBe(true)
    expect(judgeAudit(reportOf({ parser: { name: 'parser', severity: 'dire' } })).failed).toBe(true)
  })
})

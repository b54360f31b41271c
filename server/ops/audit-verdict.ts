import { z } from 'zod'

export interface AuditVerdict {
  failed: boolean
  /** What is printed: a line, or a line for each finding. */
  words: string
}

// The report `npm audit --json` prints since npm 7 (auditReportVersion 2). Of an advisory more is given than is read here;
// where a package is only affected through another, that one's name stands in the place of the advisory.
const advisory = z.object({ title: z.string(), url: z.string(), severity: z.string() })
const finding = z.object({
  name: z.string(),
  severity: z.enum(['info', 'low', 'moderate', 'high', 'critical']),
  range: z.string(),
  via: z.array(z.union([z.string(), advisory])),
})
const report = z.object({ auditReportVersion: z.literal(2), vulnerabilities: z.record(z.string(), finding) })
const trouble = z.object({ message: z.string().min(1) })
const troubleOfNpm = z.object({
  error: z.object({ code: z.string().optional(), summary: z.string().min(1) }),
})
const OF_THIS_FOLDER = /^(ENOLOCK|EAUDITNOLOCK|EUSAGE|EJSONPARSE)$/

type Finding = z.infer<typeof finding>

/**
 * What the output of `npm audit --omit=dev --json` means: failed when a finding is high or critical. Anything that is no
 * report (nothing, an error of the network, no such service) is no answer: not failed, and said aloud. A report of another
 * version fails, so that it is looked at and not taken for a clean one; so does npm's own trouble with this folder.
 */
export function judgeAudit(output: string): AuditVerdict {
  const said = parsed(output)
  const read = report.safeParse(said)
  if (read.success) return ofFindings(Object.values(read.data.vulnerabilities))
  if (typeof said === 'object' && said !== null && 'auditReportVersion' in said)
    return { failed: true, words: 'npm audit answered in a form that is not known here: read it by hand.' }
  const own = troubleOfNpm.safeParse(said)
  if (own.success && OF_THIS_FOLDER.test(own.data.error.code ?? ''))
    return { failed: true, words: `npm audit could not run: ${own.data.error.summary}` }
  return { failed: false, words: `Packages NOT audited: the registry gave no answer${reason(said)}.` }
}

function ofFindings(all: Finding[]): AuditVerdict {
  const grave = all.filter(({ severity }) => severity === 'high' || severity === 'critical')
  const lesser = all.length - grave.length
  const rest = lesser > 0 ? ` ${lesser} lesser finding${lesser === 1 ? '' : 's'}: see npm audit.` : ''
  if (grave.length === 0)
    return { failed: false, words: `Packages audited: none high or critical in production.${rest}` }
  return { failed: true, words: grave.map(line).join('\n') }
}

function line({ name, severity, range, via }: Finding): string {
  const why = via.map(one => (typeof one === 'string' ? `through ${one}` : `${one.title} (${one.url})`))
  return `${name} ${range}: ${severity}: ${why.join('; ')}`
}

function reason(said: unknown): string {
  const plain = trouble.safeParse(said)
  if (plain.success) return ` (${plain.data.message})`
  const ofNpm = troubleOfNpm.safeParse(said)
  return ofNpm.success ? ` (${ofNpm.data.error.summary})` : ''
}

function parsed(output: string): unknown {
  try {
    return JSON.parse(output)
  } catch {
    return null
  }
}

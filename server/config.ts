// Settings from environment variables, read once.

import path from 'node:path'
import { z } from 'zod'

export interface Config {
  port: number
  host: string
  dataDir: string
  knowledgeDir: string
  /** IANA name. */
  timeZone: string
  repeatWindowDays: number
  logLevel: string
  breakMinutes: number
  /** What one tap says of the protection from trains, and of what is isolated. */
  protectionPhrases: string[]
  isolationPhrases: string[]
  sessionIdleMinutes: number
  sessionHours: number
  cookieSecure: boolean
  /** How many proxies stand in front. */
  trustProxy: number
  /** Requests one person, or without a sign-in one enrolled tablet or one address, may make in a minute; 0 for any number. */
  ratePerMinute: number
  /** Hours between backups; 0 for none. */
  backupHours: number
  /** How many backups are retained. */
  backupKeep: number
  backupDir: string
  /** How long ended sessions are retained; 0 for ever. */
  keepSessionDays: number
}

/** The message is one line that names the variable, its value and what is allowed. */
export class ConfigError extends Error {}

/** Every variable the program reads; the README lists the same. */
export const variables: { name: string; default: string; meaning: string; allowed: string }[] = [
  {
    name: 'PORT',
    default: '4700',
    meaning: 'Port to listen on.',
    allowed: 'a whole number from 0 (any free port) to 65535',
  },
  {
    name: 'HOST',
    default: '127.0.0.1',
    meaning: 'Address to listen on; 0.0.0.0 for every network.',
    allowed: 'an IP address or host name',
  },
  {
    name: 'DATA_DIR',
    default: 'data',
    meaning: 'Folder of the database; made when missing.',
    allowed: 'a folder',
  },
  { name: 'KNOWLEDGE_DIR', default: 'knowledge', meaning: 'Folder of the fault trees.', allowed: 'a folder' },
  {
    name: 'TIME_ZONE',
    default: 'UTC',
    meaning: 'Time zone in which times are shown.',
    allowed: 'an IANA time zone name such as UTC or Europe/London',
  },
  {
    name: 'REPEAT_WINDOW_DAYS',
    default: '90',
    meaning: 'A fault this soon after another at the same position is a repeat fault.',
    allowed: 'a whole number of days from 1 to 3650',
  },
  {
    name: 'LOG_LEVEL',
    default: 'info',
    meaning: 'How much is logged.',
    allowed: 'fatal, error, warn, info, debug, trace or silent',
  },
  {
    name: 'BREAK_MINUTES',
    default: '30',
    meaning: 'Coming back to a fault after this long counts as a return from a break.',
    allowed: 'a whole number of minutes from 1 to 1440',
  },
  {
    name: 'PROTECTION_PHRASES',
    default: 'line blocked',
    meaning:
      'What one tap says of the protection from trains before starting, beside the technician’s own words.',
    allowed: 'phrases with ; between, or - for none',
  },
  {
    name: 'ISOLATION_PHRASES',
    default: 'nothing isolated',
    meaning: 'What one tap says of what is isolated.',
    allowed: 'phrases with ; between, or - for none',
  },
  {
    name: 'SESSION_IDLE_MINUTES',
    default: '30',
    meaning: 'Signed out after this long without a page.',
    allowed: 'a whole number of minutes from 1 to 1440',
  },
  {
    name: 'SESSION_HOURS',
    default: '12',
    meaning: 'Signed out this long after signing in, whatever happens.',
    allowed: 'a whole number of hours from 1 to 168',
  },
  {
    name: 'COOKIE_SECURE',
    default: 'auto',
    meaning: 'Whether cookies are sent over https only; auto: yes when TRUST_PROXY is not 0.',
    allowed: 'auto, yes or no',
  },
  {
    name: 'TRUST_PROXY',
    default: '0',
    meaning: 'How many proxies of your own stand in front of the program.',
    allowed: 'a whole number from 0 to 10',
  },
  {
    name: 'RATE_PER_MINUTE',
    default: '1200',
    meaning:
      'Requests one person, or without a sign-in one enrolled tablet or one address, may make in a minute; 0 for any number.',
    allowed: 'a whole number from 0 to 100000',
  },
  {
    name: 'BACKUP_HOURS',
    default: '24',
    meaning: 'Hours between backups; 0 for none.',
    allowed: 'a whole number of hours from 0 to 168',
  },
  {
    name: 'BACKUP_KEEP',
    default: '14',
    meaning: 'How many backups are kept.',
    allowed: 'a whole number from 1 to 1000',
  },
  {
    name: 'BACKUP_DIR',
    default: 'backups',
    meaning: 'Folder of the backups, best on another disk; a relative one is in DATA_DIR.',
    allowed: 'a folder',
  },
  {
    name: 'KEEP_SESSION_DAYS',
    default: '90',
    meaning: 'Days it is kept who was signed in when; 0 for ever.',
    allowed: 'a whole number of days from 0 to 3650',
  },
]

const schema = z.object({
  PORT: whole(0, 65_535),
  HOST: z.string().regex(/^[A-Za-z0-9.:_-]+$/),
  DATA_DIR: folder(),
  KNOWLEDGE_DIR: folder(),
  TIME_ZONE: z.string().refine(isTimeZone),
  REPEAT_WINDOW_DAYS: whole(1, 3650),
  LOG_LEVEL: z.enum(['fatal', 'error', 'warn', 'info', 'debug', 'trace', 'silent']),
  BREAK_MINUTES: whole(1, 1440),
  PROTECTION_PHRASES: phrases(),
  ISOLATION_PHRASES: phrases(),
  SESSION_IDLE_MINUTES: whole(1, 1440),
  SESSION_HOURS: whole(1, 168),
  COOKIE_SECURE: z.enum(['auto', 'yes', 'no']),
  TRUST_PROXY: whole(0, 10),
  RATE_PER_MINUTE: whole(0, 100_000),
  BACKUP_HOURS: whole(0, 168),
  BACKUP_KEEP: whole(1, 1000),
  BACKUP_DIR: folder(),
  KEEP_SESSION_DAYS: whole(0, 3650),
})

/** Reads the variables; one that is missing or empty has its default. Throws ConfigError on the first bad value. */
export function readConfig(env: Record<string, string | undefined>): Config {
  const given = variables.map(({ name, default: usual }) => [name, env[name]?.trim() || usual])
  const read = schema.safeParse(Object.fromEntries(given))
  if (!read.success) throw new ConfigError(refusal(String(read.error.issues[0]?.path[0]), env))
  const { data } = read
  return {
    port: data.PORT,
    host: data.HOST,
    dataDir: data.DATA_DIR,
    knowledgeDir: data.KNOWLEDGE_DIR,
    timeZone: data.TIME_ZONE,
    repeatWindowDays: data.REPEAT_WINDOW_DAYS,
    logLevel: data.LOG_LEVEL,
    breakMinutes: data.BREAK_MINUTES,
    protectionPhrases: data.PROTECTION_PHRASES,
    isolationPhrases: data.ISOLATION_PHRASES,
    sessionIdleMinutes: data.SESSION_IDLE_MINUTES,
    sessionHours: data.SESSION_HOURS,
    cookieSecure: data.COOKIE_SECURE === 'auto' ? data.TRUST_PROXY > 0 : data.COOKIE_SECURE === 'yes',
    trustProxy: data.TRUST_PROXY,
    ratePerMinute: data.RATE_PER_MINUTE,
    backupHours: data.BACKUP_HOURS,
    backupKeep: data.BACKUP_KEEP,
    backupDir: path.resolve(data.DATA_DIR, data.BACKUP_DIR),
    keepSessionDays: data.KEEP_SESSION_DAYS,
  }
}

function refusal(name: string, env: Record<string, string | undefined>): string {
  const allowed = variables.find(variable => variable.name === name)?.allowed
  return `${name} is ${JSON.stringify((env[name] ?? '').slice(0, 80))}; expected ${allowed}.`
}

function whole(min: number, max: number) {
  return z
    .string()
    .regex(/^\d{1,6}$/)
    .transform(Number)
    .pipe(z.number().min(min).max(max))
}

function phrases() {
  return z
    .string()
    .max(1000)
    .transform(text => text.split(';').map(phrase => phrase.trim()))
    .transform(list => list.filter(phrase => phrase !== '' && phrase !== '-'))
}

function folder() {
  return z.string().refine(path => !path.includes('\0'))
}

function isTimeZone(name: string): boolean {
  if (!/^[A-Za-z]/.test(name)) return false // an offset has no summer time
  try {
    new Intl.DateTimeFormat('en-GB', { timeZone: name })
    return true
  } catch {
    return false
  }
}

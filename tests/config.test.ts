import path from 'node:path'
import { describe, expect, it } from 'vitest'
import { ConfigError, readConfig, variables } from '../server/config.ts'

describe('the configuration', () => {
  it('has a default for everything', () => {
    expect(readConfig({})).toEqual({
      ...{ port: 4700, host: '127.0.0.1', dataDir: 'data', knowledgeDir: 'knowledge', timeZone: 'UTC' },
      ...{
        repeatWindowDays: 90,
        logLevel: 'info',
        breakMinutes: 30,
        sessionIdleMinutes: 30,
        sessionHours: 12,
      },
      ...{ protectionPhrases: ['line blocked'], isolationPhrases: ['nothing isolated'] },
      ...{ cookieSecure: false, trustProxy: 0, ratePerMinute: 1200 },
      ...{ backupHours: 24, backupKeep: 14, backupDir: path.resolve('data/backups'), keepSessionDays: 90 },
    })
  })

  it('takes an empty variable as one not given', () => {
    expect(readConfig({ PORT: '', TIME_ZONE: '  ' })).toEqual(readConfig({}))
  })

  it('takes what is given', () => {
    const config = readConfig({
      PORT: '8080',
      TIME_ZONE: 'Europe/London',
      REPEAT_WINDOW_DAYS: '28',
      DATA_DIR: '/srv/f',
    })
    expect(config).toMatchObject({
      port: 8080,
      timeZone: 'Europe/London',
      repeatWindowDays: 28,
      dataDir: '/srv/f',
    })
  })

  it('sends cookies over https only behind a proxy, unless told', () => {
    expect(readConfig({ TRUST_PROXY: '1' }).cookieSecure).toBe(true)
    expect(readConfig({ TRUST_PROXY: '1', COOKIE_SECURE: 'no' }).cookieSecure).toBe(false)
    expect(readConfig({ COOKIE_SECURE: 'yes' }).cookieSecure).toBe(true)
  })

  it.each([
    ['PORT', 'abc'],
    ['PORT', '65536'],
    ['PORT', '-1'],
    ['PORT', '80.5'],
    ['HOST', 'a b'],
    ['TIME_ZONE', 'Alder/Bank'],
    ['TIME_ZONE', '+01:00'],
    ['REPEAT_WINDOW_DAYS', '0'],
    ['REPEAT_WINDOW_DAYS', '1e3'],
    ['LOG_LEVEL', 'loud'],
    ['BREAK_MINUTES', '30 min'],
    ['SESSION_IDLE_MINUTES', 'never'],
    ['SESSION_HOURS', '999'],
    ['COOKIE_SECURE', 'true'],
    ['TRUST_PROXY', 'yes'],
    ['DATA_DIR', 'a\0b'],
  ])('refuses %s=%j in one line that names it and says what is allowed', (name, value) => {
    const allowed = variables.find(variable => variable.name === name)?.allowed ?? '?'
    try {
      readConfig({ [name]: value })
      expect.unreachable()
    } catch (error) {
      expect(error).toBeInstanceOf(ConfigError)
      const { message } = error as ConfigError
      expect(message).toBe(`${name} is ${JSON.stringify(value)}; expected ${allowed}.`)
      expect(message.split('\n')).toHaveLength(1)
    }
  })

  it('says nothing of variables that are not its own', () => {
    expect(() => readConfig({ PORT: 'x', SECRET: 'hunter2' })).toThrow(/^((?!hunter2|SECRET).)*$/)
    expect(readConfig({ SECRET: 'hunter2' })).toEqual(readConfig({}))
  })

  it('describes each of its variables once, with the default it uses', () => {
    const names = variables.map(({ name }) => name)
    expect(new Set(names).size).toBe(names.length)
    for (const { name, default: usual } of variables)
      expect(readConfig({ [name]: usual })).toEqual(readConfig({}))
  })
})

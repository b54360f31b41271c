import { expect, it } from 'vitest'
import { filesBelow, textOf } from './files.ts'

// What can run words as code or commands, or ask other machines, is used where it is named here and nowhere else: whoever
// needs it elsewhere looks first at what it is handed.

const ours = [...filesBelow('server', '.ts'), ...filesBelow('views', '.js'), ...filesBelow('views', '.ejs')]

/** Without what is only said about it. */
const codeOf = (file: string) => textOf(file).replace(/^\s*(\/\/|\*|\/\*\*).*$/gm, '')

it.each<[string, RegExp, RegExp | null]>([
  [
    'starts another program',
    /child_process/,
    /^server\/(exchange\/read-apart|ops\/audit|ops\/scheduled-backups|web\/host\/node-host)\.ts$/,
  ],
  ['hands a line to a shell', /\bshell: |(?<![.\w])exec(File)?(Sync)?\(|node:vm/, null],
  ['makes code of a text', /\beval\(|new Function\(/, null],
  [
    'imports a text as a module',
    /registerHooks|data:text\/javascript|node:module/,
    /^server\/web\/host\/view-engine\.ts$/,
  ],
  ['runs code in a thread', /new Worker\(/, null],
  [
    'makes a pattern of a text',
    /new RegExp\(/,
    /^server\/(exchange\/parse-number|knowledge\/rules\/two-commands|web\/technician\/calculators\/calculators)\.ts$/,
  ],
  [
    'takes a text for markup in the browser',
    /innerHTML|outerHTML|insertAdjacentHTML|document\.write|createContextualFragment|DOMParser/,
    /^views\/assets\/js\/author\.js$/,
  ],
  [
    'asks another machine',
    /node:https|node:tls|node:dns|node:dgram|http2|undici|https?\.(get|request)\(/,
    null,
  ],
  ['fetches', /\bfetch\(/, /^(views\/assets\/js\/|server\/tablet\/worker\/(assets|depot|main)\.ts$)/],
  [
    'talks past requests and answers',
    /WebSocket|EventSource|addEventListener\('message'|\.onmessage|\bjsonp\b/i,
    /^(views\/assets\/js\/shift\.js|server\/tablet\/worker\/main\.ts)$/,
  ],
])('nothing %s but where it is known', (_, tool, known) => {
  expect(ours.length).toBeGreaterThan(300)
  const used = ours.filter(file => tool.test(codeOf(file)))
  expect(used.filter(file => !known?.test(file))).toEqual([])
  if (known) expect(used).not.toEqual([])
})

it('a page’s script asks none but this program', () => {
  for (const file of filesBelow('views', '.js'))
    for (const [, asked = ''] of codeOf(file).matchAll(/\bfetch\(([^,)]+)/g))
      expect([file, asked]).toEqual([
        file,
        expect.stringMatching(/^('\/[a-z-]+'|form\.action|write\.action)$/),
      ])
})

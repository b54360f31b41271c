// What a page and a write cost at the least: a bare Express with an EJS page of as many bytes, and with one durable
// insert. Usage: peer.ts BYTES DATABASE

import { writeFileSync } from 'node:fs'
import type { AddressInfo } from 'node:net'
import path from 'node:path'
import { createInterface } from 'node:readline'
import Sqlite from 'better-sqlite3'
import express from 'express'

const [, , bytes = '0', database = ''] = process.argv
const line = 'A line of words as a page holds them, with a figure or two: 110 V AC, 99 to 121. '
const lines = Array.from({ length: Math.round((Number(bytes) - 150) / (line.length + 8)) }, () => line)
writeFileSync(
  path.join(path.dirname(database), 'page.ejs'),
  '<!doctype html><html><head><title><%= title %></title></head><body><% lines.forEach(line => { %><p><%= line %></p>\n<% }) %></body></html>',
)
const db = new Sqlite(database)
db.pragma('journal_mode = WAL')
db.pragma('synchronous = FULL')
db.exec('CREATE TABLE IF NOT EXISTS rows (id INTEGER PRIMARY KEY, fault TEXT, text TEXT, reading TEXT)')
const insert = db.prepare('INSERT INTO rows (fault, text, reading) VALUES (@fault, @text, @reading)')

const app = express()
app.set('view engine', 'ejs')
app.set('views', path.dirname(database))
app.set('view cache', true)
app.get('/page', (_req, res) => res.render('page', { title: 'Peer', lines }))
app.post('/write', express.urlencoded({ extended: false }), (req, res) => {
  insert.run({ fault: String(req.body.id), text: String(req.body.text), reading: JSON.stringify(req.body) })
  res.redirect(303, '/page')
})
const server = app.listen(0, '127.0.0.1', () => {
  console.log(
    JSON.stringify({ address: `http://127.0.0.1:${(server.address() as AddressInfo).port}`, ms: 0 }),
  )
})
server.keepAliveTimeout = 75_000
for await (const _ of createInterface({ input: process.stdin })) {
  const { user, system } = process.cpuUsage()
  console.log(JSON.stringify({ ...process.memoryUsage(), cpuMs: (user + system) / 1000 }))
}
// Whoever started it has gone, or asks nothing more.
process.exit()

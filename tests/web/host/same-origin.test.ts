import express from 'express'
import request from 'supertest'
import { describe, expect, it } from 'vitest'
import { AppError, httpStatus } from '../../../server/errors.ts'
import { sameOrigin } from '../../../server/web/host/middleware/same-origin.ts'

const app = express()
app.use(sameOrigin)
app.all('/', (_req, res) => void res.send('let in'))
app.use(((error, _req, res, _next) => {
  res.status(error instanceof AppError ? httpStatus[error.code] : 500).end()
}) as express.ErrorRequestHandler)

const post = (headers: Record<string, string>) =>
  request(app)
    .post('/')
    .set({ Host: 'depot.example:4700', ...headers })

describe('a form', () => {
  it.each([
    ['the browser says it is from our pages', { 'Sec-Fetch-Site': 'same-origin', Cookie: 'a=b' }],
    ['the user sent it by hand', { 'Sec-Fetch-Site': 'none', Cookie: 'a=b' }],
    ['its origin is ours', { Origin: 'http://depot.example:4700', Cookie: 'a=b' }],
    ['its origin is ours in capitals', { Origin: 'http://DEPOT.example:4700', Cookie: 'a=b' }],
    [
      'its origin is ours and a proxy ended the https',
      { Origin: 'https://depot.example:4700', Cookie: 'a=b' },
    ],
    ['a program sends it as nobody', {}],
  ])('is let in when %s', async (_, headers) => {
    expect((await post(headers)).status).toBe(200)
  })

  it.each([
    ['it is from another site', { 'Sec-Fetch-Site': 'cross-site' }],
    [
      'it is from a neighbour of ours',
      { 'Sec-Fetch-Site': 'same-site', Origin: 'http://depot.example:4700' },
    ],
    [
      'it says both, and one is not ours',
      { 'Sec-Fetch-Site': 'cross-site', Origin: 'http://depot.example:4700' },
    ],
    ['its origin is another host', { Origin: 'http://elsewhere.example' }],
    ['its origin is another port', { Origin: 'http://depot.example:4701' }],
    ['its origin only begins like ours', { Origin: 'http://depot.example:4700.elsewhere.example' }],
    ['its origin is hidden', { Origin: 'null' }],
    ['it is somebody’s and does not say where from', { Cookie: 'fourfoot=x' }],
  ])('is refused when %s', async (_, headers) => {
    expect((await post(headers)).status).toBe(403)
  })

  it.each(['put', 'patch', 'delete'] as const)('is held to the same by %s', async method => {
    expect((await request(app)[method]('/').set('Origin', 'http://elsewhere.example')).status).toBe(403)
  })
})

it('a page may be asked for from anywhere', async () => {
  expect((await request(app).get('/').set('Sec-Fetch-Site', 'cross-site')).status).toBe(200)
})

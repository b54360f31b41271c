import { setTimeout as pause } from 'node:timers/promises'
import { describe, expect, it } from 'vitest'
import * as chosen from '#platform'
import * as node from '../../server/platform/node.ts'
import type { Platform } from '../../server/platform/platform.ts'
import * as worker from '../../server/platform/worker.ts'

const platforms: [string, Platform][] = [
  ['a server', node],
  ['a service worker', worker],
]

it('on this machine is the server’s', () => {
  expect(chosen.sha256).toBe(node.sha256)
})

describe.each(platforms)('on %s', (_, platform) => {
  // NIST, example values for SHA-256 (FIPS 180-4), "SHA256.pdf": one block, two blocks. The empty message and the
  // million times "a": NIST, SHA test vectors for hashing byte-oriented messages (values from memory).
  it.each([
    ['abc', 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad'],
    [
      'abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq',
      '248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1',
    ],
    ['', 'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855'],
    ['a'.repeat(1_000_000), 'cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0'],
  ])('SHA-256 is as published (%#)', (text, hex) => {
    expect(platform.sha256(text)).toBe(hex)
    expect(platform.sha256(platform.utf8(text))).toBe(hex)
  })

  // RFC 3629, section 7: the examples in UTF-8.
  it.each([
    ['A≢Α.', [0x41, 0xe2, 0x89, 0xa2, 0xce, 0x91, 0x2e]],
    ['日本語', [0xe6, 0x97, 0xa5, 0xe6, 0x9c, 0xac, 0xe8, 0xaa, 0x9e]],
  ])('the bytes of %s are as published', (text, bytes) => {
    expect([...platform.utf8(text)]).toEqual(bytes)
  })

  // RFC 4648, section 10, without the padding; and the two letters in which base64url differs (section 5, table 2).
  it.each([
    ['', ''],
    ['f', 'Zg'],
    ['fo', 'Zm8'],
    ['foo', 'Zm9v'],
    ['foob', 'Zm9vYg'],
    ['fooba', 'Zm9vYmE'],
    ['foobar', 'Zm9vYmFy'],
  ])('base64url of %j is as published', (text, encoded) => {
    expect(platform.base64Url(platform.utf8(text))).toBe(encoded)
  })

  it('base64url uses - and _', () => {
    expect(platform.base64Url(new Uint8Array([0xfb, 0xff, 0xbf]))).toBe('-_-_')
    expect(platform.base64Url(new Uint8Array([1, 2, 0xfb, 0xff, 0xbf, 3]).subarray(2, 5))).toBe('-_-_')
  })

  it('compares bytes to their end', () => {
    const bytes = (...values: number[]) => new Uint8Array(values)
    expect(platform.sameBytes(bytes(1, 2, 3), bytes(1, 2, 3))).toBe(true)
    expect(platform.sameBytes(bytes(), bytes())).toBe(true)
    for (const other of [bytes(1, 2, 4), bytes(1, 2), bytes(1, 2, 3, 0), bytes(0, 2, 3), bytes()]) {
      expect(platform.sameBytes(bytes(1, 2, 3), other)).toBe(false)
      expect(platform.sameBytes(other, bytes(1, 2, 3))).toBe(false)
    }
  })

  it('random bytes and ids come in the length and form asked for, never the same', () => {
    expect(platform.randomBytes(0)).toHaveLength(0)
    const all = Array.from({ length: 100 }, () => platform.base64Url(platform.randomBytes(32)))
    expect(new Set(all).size).toBe(100)
    expect(all.every(text => text.length === 43)).toBe(true)
    const ids = Array.from({ length: 100 }, platform.randomId)
    expect(new Set(ids).size).toBe(100)
    // RFC 9562, section 5.4: version 4, variant 10.
    for (const id of ids)
      expect(id).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/)
  })

  it('the end of a turn comes after all promises, in the order asked for', async () => {
    const order: string[] = []
    const ended = new Promise<void>(resolve => {
      platform.atEndOfTurn(() => order.push('first'))
      platform.atEndOfTurn(() => {
        order.push('second')
        resolve()
      })
    })
    await Promise.resolve().then(() => Promise.resolve())
    order.push('promises')
    await ended
    expect(order).toEqual(['promises', 'first', 'second'])
  })

  it('each task sees its own value through its waits, and outside there is none', async () => {
    const context = platform.createAsyncContext<string>()
    const seen: (string | undefined)[] = []
    const task = (ms: number) => async () => {
      const before = context.current()
      await pause(ms)
      seen.push(before, context.current())
      return ms
    }
    expect(context.current()).toBeUndefined()
    const both = Promise.all([context.run('one', task(10)), context.run('two', task(1))])
    expect(await both).toEqual([10, 1])
    expect(seen.toSorted()).toEqual(['one', 'one', 'two', 'two'])
    expect(context.current()).toBeUndefined()
  })

  it('a task that fails fails as it does, and keeps none after it from running', async () => {
    const context = platform.createAsyncContext<string>()
    const failed = context.run('one', async () => {
      await pause(1)
      throw new Error(context.current())
    })
    const after = context.run('two', async () => context.current())
    await expect(failed).rejects.toThrow('one')
    expect(await after).toBe('two')
    expect(context.current()).toBeUndefined()
  })
})

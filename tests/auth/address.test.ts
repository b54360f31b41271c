import { expect, it } from 'vitest'
import { networkOf } from '../../server/auth/address.ts'

it.each([
  ['192.0.2.7', '192.0.2.7'],
  ['::ffff:192.0.2.7', '192.0.2.7'],
  ['', ''],
  ['::1', '0:0:0:0::/64'],
  ['2001:db8:0:12::1', '2001:db8:0:12::/64'],
  ['2001:DB8:0:12:ffff:1:2:3', '2001:db8:0:12::/64'],
  ['2001:db8::5', '2001:db8:0:0::/64'],
  ['fe80::1%eth0', 'fe80:0:0:0::/64'],
])('counts %s as %s', (address, network) => {
  expect(networkOf(address)).toBe(network)
})

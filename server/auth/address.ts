/**
 * The network that an address stands for where requests or guesses are counted: an IPv4 address itself, and of an IPv6
 * address the first 64 bits, since one household or one rented machine is given all addresses that share them (RFC 6177).
 */
export function networkOf(address: string): string {
  const plain = address.replace(/%.*$/, '').toLowerCase()
  const mapped = /^::ffff:(\d+\.\d+\.\d+\.\d+)$/.exec(plain)?.[1]
  if (mapped) return mapped
  if (!plain.includes(':')) return plain
  const [left = [], right = []] = plain.split('::').map(half => half.split(':').filter(Boolean))
  const zeros = Array.from({ length: Math.max(0, 8 - left.length - right.length) }, () => '0')
  const groups = [...left, ...zeros, ...right].slice(0, 4)
  return `${groups.map(group => Number.parseInt(group, 16).toString(16)).join(':')}::/64`
}

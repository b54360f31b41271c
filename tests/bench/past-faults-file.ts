// A depot's own list of past faults, as large as wanted, for the two positions of the small test railway.

/** One row a fault: every position in turn, each at a minute of its own. */
export function pastFaultsFile(rows: number): string {
  const causes = ['Supply fuse blown', 'rat nest', 'NFF', 'Supply fuse blown']
  const lines = Array.from({ length: rows }, (_, n) => {
    const at = new Date(Date.UTC(2001, 0, 1) + n * 11 * 3_600_000).toISOString().slice(0, 16)
    const done = `Went out and found it as told; mended it and proved it with the signaller; sheet ${n}`
    return [n, n % 2 ? 'WH-3-U' : 'WH-3-D', at, 'Telltale dark', causes[n % 4], done, at, n % 31].join(',')
  })
  return ['Fault no,Plate,Date reported,Fault,Cause,Action taken,Date closed,Temp', ...lines].join('\n')
}

/**
 * Milliseconds of processor time that this process spent on the work: what a limit on time is held against, as the time
 * on the wall grows with whatever else the machine is doing.
 */
export async function processorTime(work: () => unknown): Promise<number> {
  const before = process.cpuUsage()
  await work()
  const { user, system } = process.cpuUsage(before)
  return (user + system) / 1000
}

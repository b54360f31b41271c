// The whole demo railway into an empty database.

import { createSecrets, type HashCost } from '../auth/scrypt.ts'
import type { Knowledge } from '../knowledge/types.ts'
import { createRandom, type Random } from '../statistics/random.ts'
import type { Storage } from '../storage/storage.ts'
import { createDepot, type Depot } from './railway/depot.ts'
import { writeInstruments } from './railway/instruments.ts'
import { demoPeople, engineers } from './railway/people.ts'
import { type DemoPosition, demoRailway, type Railway } from './railway/railway.ts'
import { writeWeather } from './railway/weather.ts'
import { writeWorkshop } from './railway/workshop.ts'
import { openFaults } from './story/open-faults.ts'
import { planFaults } from './story/plan.ts'
import type { SceneMaker, Story } from './story/story.ts'
import { tell } from './story/telling.ts'
import { writeVisits } from './story/visits.ts'
import { settled } from './story/words.ts'
import { DAY } from './story/years.ts'

/** The demo's PINs are printed when it starts: a hash that costs more would guard nothing. */
const publicPinCost: HashCost = { log2N: 4, r: 1, p: 1 }

export interface DemoCounts {
  sites: number
  positions: number
  faults: number
  open: number
}

/**
 * Writes people, sites, positions, units and three years of faults up to `now`, in one transaction. The edition must be
 * in the database already, and the knowledge be what it holds. The same seed and `now` give the same railway.
 */
export async function loadDemo(
  storage: Storage,
  knowledge: Knowledge,
  editionId: string,
  { seed, now }: { seed: number; now: Date },
): Promise<DemoCounts> {
  const secrets = createSecrets(publicPinCost)
  const pinHashes = await Promise.all(demoPeople.map(person => secrets.hash(person.pin)))
  const railway = demoRailway(seed, knowledge, now)
  const planned = planFaults(seed, knowledge, railway, now)
  const random = createRandom(`${seed} stories`)
  const depot = createDepot(random)
  return storage.transaction(() => {
    demoPeople.forEach(({ pin: _pin, ...person }, i) => {
      storage.people.create({ ...person, pinHash: pinHashes[i] ?? '' })
    })
    writeInstruments(storage, now)
    writeRailway(storage, railway)
    writeWeather(storage, { editionId, now })
    const scene = sceneMaker({ seed, now, knowledge, editionId, random, depot, railway })
    for (const [i, fault] of planned.entries()) writeStory(storage, tell(scene(fault, i + 1)), random, now)
    const open = openFaults({ seed, now, knowledge, railway, planned })
    open.forEach((openFault, i) => {
      writeStory(storage, openFault(scene, planned.length + i + 1), random, now)
    })
    writeWorkshop(storage, { seed, now })
    writeVisits(storage, { seed, now, knowledge, editionId, railway })
    const faults = planned.length + open.length
    const stillOpen = storage.faults.listOpen().length
    return { sites: railway.sites.length, positions: railway.positions.length, faults, open: stillOpen }
  })
}

interface Setting {
  seed: number
  now: Date
  knowledge: Knowledge
  editionId: string
  random: Random
  depot: Depot
  railway: Railway
}

function sceneMaker({ railway, now, ...setting }: Setting): SceneMaker {
  const byId = new Map<string, DemoPosition>(railway.positions.map(position => [position.id, position]))
  return (planned, number) => {
    const position = byId.get(planned.positionId)
    const equipment = setting.knowledge.equipment.get(position?.equipment ?? '')
    if (!position || !equipment) throw new Error(`The demo has no position ${planned.positionId}.`)
    const faultId = `fault-${String(number).padStart(4, '0')}`
    return { ...setting, planned, position, equipment, faultId, latest: now.getTime() - 60_000 }
  }
}

function writeRailway(storage: Storage, { sites, positions }: Railway): void {
  for (const site of sites) storage.sites.create(site)
  for (const { fitted, ...position } of positions) {
    storage.positions.create(position)
    for (const unit of fitted) {
      const id = `unit-${unit.kind.replace(/\W+/g, '-')}-${unit.serial}`
      storage.units.create({ id, ...unit })
      storage.units.fit({
        id: `${id}-fitted`,
        unitId: id,
        positionId: position.id,
        fittedAt: position.inService,
      })
    }
  }
}

function writeStory(storage: Storage, story: Story, random: Random, now: Date): void {
  for (const write of story.writes) write(storage)
  const { closure, fault } = story.record
  const old = closure !== null && Date.parse(closure.at) < now.getTime() - 60 * DAY
  if (!old || closure.outcome !== 'not reproduced' || !random.chance(0.85)) return
  const at = new Date(Date.parse(closure.at) + random.between(2, 50) * DAY).toISOString()
  const note = {
    id: `${fault.id}-note`,
    at,
    by: random.pick(engineers).id,
    words: random.pick(settled),
    settled: true,
  }
  storage.engineerNotes.add({ ...note, faultId: fault.id })
}

// The sites of the demo railway. The names are made up, and none was found to be a place.

import type { Random } from '../../statistics/random.ts'
import type { Site } from '../../storage/storage.ts'

const names = [
  'Addlemarsh',
  'Bramblecutt',
  'Brockenwade',
  'Cattermere',
  'Cindergarth',
  'Corbenholt',
  'Dottermere',
  'Drovermoss',
  'Dunsilver',
  'Eastwarrel',
  'Elverscote',
  'Embergarth',
  'Fellowdyke',
  'Fennimoor',
  'Gannetgarth',
  'Grindlewade',
  'Hexamarsh',
  'Hollincrane',
  'Inkerbeck',
  'Ivelmoss',
  'Jesselby',
  'Juniperdyke',
  'Larkinholt',
  'Mallowdyke',
  'Mossenthwick',
  'Nethercrane',
  'Orrelwade',
  'Oxterbeck',
  'Pellingarth',
  'Plovergill',
  'Quarrelmoor',
  'Rookenthorpe',
  'Rushenbeck',
  'Siskinbeck',
  'Tarnivale',
  'Thackermoss',
  'Vennelwade',
  'Wickenmoss',
  'Yaffelby',
  'Zennoway',
]

const lines = ['Cattermere and Zennoway', 'Dunsilver branch', 'Upper Orrelwade']

const ways = [
  'Gate at the overbridge; key at the depot. Walk 120 m on the cess side.',
  'Lay-by beside the crossing. The case stands inside the fence.',
  'From the station car park, through the staff gate.',
  'Farm track, muddy after rain. Park at the second gate.',
  'Steps down from the road; 43 of them, slippery when wet.',
]

/** Letters before the signal numbers at a site, no two alike. */
export function sitePrefix(index: number): string {
  const letters = 'ABCDEFGHJKLMNPQRSTUVWXYZ'
  return `${letters[index % 24]}${letters[(index * 7 + Math.floor(index / 24) + 5) % 24]}`
}

export function demoSites(random: Random): Site[] {
  return names.map((name, i) => {
    const line = lines[Math.floor((i * lines.length) / names.length)] ?? ''
    const chains = random.whole(0, 79)
    return {
      id: `site-${String(i + 1).padStart(2, '0')}`,
      name,
      line,
      mileage: `${4 + i * 2} m ${chains} ch`,
      access: random.pick(ways),
    }
  })
}

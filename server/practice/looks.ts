// What is seen, asked or heard at a check, chosen from the world: the row whose words say it.

import { reading, toneOver } from '../circuit/meters.ts'
import { size } from '../circuit/network.ts'
import { operate, toneOf } from '../circuit/operate.ts'
import { healthyWorld, OPEN, type State, type World } from '../circuit/world.ts'
import type { Check, Row } from '../knowledge/types.ts'
import { legs } from './symptoms.ts'

/** What a row's words are known by: a pattern, or words that they hold. */
type Words = RegExp | string

/** Words that a row may have for what is there, the best first. */
type Look = (world: World, state: State) => Words[]

/** By the words of a check's title and of what it observes; the first that fits holds. */
const LOOKS: [RegExp, Look][] = [
  [/front of the new module/i, (world, state) => [...frontSeen(world), ...telltales(world, state)]],
  [
    /as the signal returns/i,
    ({ joints, sights }) => [
      ...when(sights.driveRelay === 'wrong', /^relay late/),
      ...when(joints.driveContact > 10, /^telltale late/),
    ],
  ],
  [/licence for the signal's controls/i, () => [/^licensed/]],
  [/beside its proving relay/i, ({ joints }) => [joints.redLamp < 1e6 ? /^lit/ : /^dark/]],
  [/own test of the (?:indication )?unit/i, ({ sights }) => when(sights.unitTest === 'wrong', /fails/)],
  [/lamp and buzzer/i, unitSeen],
  [/link box from outside/i, ({ sights }) => when(sights.linkBoxLid === 'damaged', /damaged/)],
  [/link box inside/i, insideTheBox],
  [/connector of the loop$/i, connectorSeen],
  [
    /fixings and adapters/i,
    ({ sights }) => [
      ...when(sights.fixing === 'wrong', /wrong kind/),
      ...when(sights.loop === 'fixing', /loose/),
    ],
  ],
  [/frame against the rail/i, ({ joints }) => when(joints.frame < 1e3, /near nothing/)],
  [
    /source in use/i,
    ({ supply, sights }) => [
      ...when(sights.changeover === 'none here', /^no changeover/),
      ...when(sights.changeover === 'battery alarm', /in alarm/),
      supply.source === 'standby' ? /^standby/ : supply.source,
    ],
  ],
  [/earth fault is told/i, ({ sights }) => [sights.earthTold === 'feeder' ? /^feeder/ : /^case busbars/]],
  [/what the detector shows/i, ({ sights }) => [sights.detector]],
  [/own test of the detector/i, ({ sights }) => when(sights.detectorTest === 'wrong', /^no alarm/)],
  [/takes the earth fault with it/i, earthGone],
  [/legs of the feeder/i, world => [legs(world).atFeeder ? /^one leg/ : /^alike/]],
  [/against earth/i, legsSeen],
  [
    /how this set is told|indication and proving test/i,
    ({ site }) => [site.indication === 'none' ? /telltale only/ : /^indicated, open/],
  ],
  [/tone over each/i, tonesOver],
  [/own timer|timer of the train/i, () => [/^slower/]],
  [/what happened to the train|say happened/i, () => [/^none of these/]],
  [/duty of the pair|what the pair is for/i, ({ site }) => [site.duty]],
  [/test at the proceed/i, () => [/^agreed/]],
  [/each loop open/i, ({ module }) => when(module.provesAlways, /stayed/)],
  [
    /signaller's view of both|signaller saw/i,
    ({ joints, module }) =>
      when(joints.repeaterStuck || joints.strayProving !== null || module.provesAlways, /one not seen/),
  ],
  [
    /by ohmmeter/i,
    ({ lines }) => [
      Math.min(lines.arming.screenEarth, lines.trigger.screenEarth) > 1000 ? /high/ : /near nothing/,
    ],
  ],
  [/link box and connector|water marks/i, ({ sights }) => when(sights.linkBox === 'water', /^water/)],
  [
    /lock, seals|lock and seals/i,
    ({ sights }) =>
      sights.damp === 'wet'
        ? [/wet/]
        : sights.lock === 'forced' || sights.seal === 'broken'
          ? [/broken/]
          : [],
  ],
  [
    /label, settings/i,
    ({ sights, module }) => [
      ...when(module.variant === 'wrong finish', /finish/),
      ...when(module.variant !== 'right', /wrong module/, /wrong/),
      ...when(sights.settings === 'different', /wrong setting/, /different/),
      ...when(sights.left !== 'nothing', /temporary/),
    ],
  ],
  [
    /whether a failure should|indication of this position/i,
    ({ site }, { due }) => [...when(!due, /not due/), ...when(site.indication === 'none', /^not indicated/)],
  ],
  [/what the signaller sees|failure indication now/i, indicated],
  [/what the indication shows|look of the indication/i, indicated],
  [
    /calls for drive/i,
    ({ site }, { due }) => (!site.signal ? [/no signal/] : due ? [/at danger$/] : [/not at danger/]),
  ],
  [/drive link/i, ({ sights }) => when(sights.driveLink === 'missing', /missing|loose/)],
  [
    /drive relay/i,
    ({ sights, site }) => [...when(!site.signal, /link/), ...when(sights.driveRelay === 'wrong', /wrong/)],
  ],
  [/front of|latch, label|latch with the drive|variant on the label|label of/i, frontSeen],
  [/tapped/i, ({ sights }) => when(sights.flickers === 'module', /flicker/)],
  [
    /moved|wires are moved/i,
    ({ sights }) => when(!['nothing', 'module'].includes(sights.flickers), sights.flickers),
  ],
  [/drive telltale/i, (world, state) => when(!operate(world, state).telltales.drive, /dark/)],
  [/output telltale/i, (world, state) => when(!operate(world, state).telltales.output, /dark/)],
  [/telltale/i, telltales],
  [/settings|proving strap/i, ({ sights }) => when(sights.settings === 'different', /different|wrong/)],
  [/tap in use|transformer tap/i, ({ sights }) => when(sights.tap === 'different', /different/)],
  [/case fuse by itself/i, ({ supply }) => [supply.caseFuse > 1e3 ? /blown/ : /whole/]],
  [/fuse by itself|supply fuse link/i, fuseLink],
  [/licence and meter/i, () => [/^licensed/]],
  [/section between|section by halves/i, feederSections],
  [/rating/i, ({ sights }) => when(sights.fuseRating !== 'as the diagram', sights.fuseRating)],
  [/arrester/i, ({ sights }) => when(sights.arrester === 'burst', /burst|burnt|failed/)],
  [
    /suppression path|link or contact/i,
    ({ site, sights }) => [...when(sights.wires === 'wrong terminal', /wrong terminal/), site.suppressedBy],
  ],
  [/may come off/i, () => [/^both/]],
  [/release of the equipment/i, () => [/^released/]],
  [/drop of each section/i, ({ supply }) => when(supply.feederJoint > 1, /^one section/)],
  [/filament/i, () => [/^main/]],
  [/look of the supply wires/i, ({ supply }) => when(supply.wireBridge < 1e6, /damaged/)],
  [/tap of the new power module/i, ({ sights }) => when(sights.settings === 'different', /different/)],
  [/owner's method/i, ({ module }) => [module.provesAlways ? /not seen/ : /^each/]],
  [/lines compared|line beside the trigger line/i, linesCompared],
  [
    /extent|failed on this feeder/i,
    ({ supply }) => [
      { 'this case': /this case/, 'every case': /every case/, 'beyond one point': /beyond/ }[supply.extent],
    ],
  ],
  [/live parts/i, () => []],
  [/what is damaged/i, damaged],
  [
    /inside of the case.*(?:damp|water)|damp|inside of the case$/i,
    ({ sights }) => when(sights.damp === 'wet', /wet/),
  ],
  [
    /seals, straps|inside of the case/i,
    ({ sights }) => [
      ...when(sights.seal === 'broken', /seal/),
      ...when(sights.left === 'strap', /strap|lead/),
      ...when(sights.wires === 'cut', /cut|off/),
    ],
  ],
  [/lock/i, ({ sights }) => when(sights.lock === 'forced', /broken|forced/)],
  [/which (?:channel|output)|output is dead/i, deadChannel],
  [
    /terminations/i,
    ({ sights }) => [
      ...when(sights.tails === 'loose', /loose/),
      ...when(sights.linkBox === 'water', /water/),
    ],
  ],
  [/joints in the cable/i, ({ sights }) => [sights.joint === 'wet' ? /wet/ : /dry|no joint/]],
  [
    /screen/i,
    ({ sights }) => [
      ...when(sights.screenEnds === 'earthed', /earthed/),
      ...when(sights.screenEnds === 'off', /off|broken/),
    ],
  ],
  [/cables|route/i, cablesSeen],
  [
    /field|tone over/i,
    ({ sights }) => [
      ...when(sights.elsewhere === 'tone', /there|too many/),
      ...when(sights.loops === 'crossed', /wrong way/),
    ],
  ],
  [
    /worked on|last work/i,
    ({ sights, site }) => [
      ...when(
        sights.lastWork === 'loops',
        site.duty === 'train stop' ? /of a train stop/ : /of another pair/,
      ),
      ...workWords[sights.lastWork],
    ],
  ],
  [
    /against the diagram|wires on the terminals|proving terminals|drive terminals|temporary items|straps/i,
    wiring,
  ],
  [/line terminals|channels at|line cores/i, ({ sights }) => when(sights.wires === 'crossed', /crossed/)],
  [/red lamp/i, (world, state) => when(!operate(world, state).redLamp, /dark/)],
  [/form of the failure|failure is shown/i, ({ site }) => [site.indication]],
  [/drops out|times of failure/i, ({ sights }) => dropsOutWords[sights.dropsOut]],
  [/one train|trains stopped/i, () => [/several/]],
  [/aspect and speed|when they were/i, ({ sights }) => [stoppedWords[sights.stopped]]],
  [/set speed/i, ({ sights }) => when(sights.plan === 'differs', /differs/)],
  [/loop/i, loopSeen],
]

const workWords: Record<World['sights']['lastWork'], Words[]> = {
  'nothing known': [/nothing/],
  module: [/^module|transmitter module/, /module/],
  wires: [/wires/],
  loops: [/loops/],
  cables: [/cables/],
  controls: [/controls/],
}
const dropsOutWords: Record<World['sights']['dropsOut'], Words[]> = {
  never: [],
  'as trains pass': [/trains pass/],
  'as the signal returns': [/signal returns/, /trains pass/],
  'in the wet': [/wet/],
  'when loads switch': [/loads/],
  'no pattern': [/no pattern/],
}
const stoppedWords = {
  nothing: /^$/,
  'at proceed': /proceed/,
  'below speed': /below/,
  'above speed': /above/,
  'other direction': /other direction/,
}

function when(holds: boolean, ...words: Words[]): Words[] {
  return holds ? words : []
}

/** V DC into an indication unit below which it shows failure. */
const UNIT_HEARS = 15

function unitSeen(world: World, state: State): Words[] {
  const { direct } = operate(world, state)
  if (direct.volts('IU1', 'IU2').re < UNIT_HEARS) return [/^dark/]
  const failed = world.sights.unit === 'failure' || direct.volts('IU3', 'IU4').re < UNIT_HEARS
  return [failed ? /^failure/ : /^healthy/]
}

function insideTheBox({ sights }: World): Words[] {
  return [
    ...when(sights.linkBox === 'water', /^water/),
    ...when(sights.boxLink === 'loose', /link loose/),
    ...when(sights.tails === 'loose', /termination/),
  ]
}

function connectorSeen({ sights }: World): Words[] {
  return [
    ...when(sights.connector === 'loose', /not latched/),
    ...when(sights.linkBox === 'water', /^water|wet/),
  ]
}

/** What the earth goes off with, as links are opened one after the other. */
function earthGone({ supply }: World): Words[] {
  if (supply.earth?.at === 'circuit') return [/another outgoing/, /^one circuit/]
  if (supply.wireLeak < LEAKS) return [/supply of the transmitter/]
  return supply.feederLeak < LEAKS ? [/^one section/] : [/stays with all/]
}

/** Ohms below which a leg has an earth. */
const LEAKS = 1e6

function legsSeen(world: World): Words[] {
  const { busbars, atBusbars } = legs(world)
  if (!atBusbars) return [/^alike/]
  return [busbars.first < busbars.second ? /^feed leg/ : /^return leg/, /^one leg/]
}

/** Ohms by which two lines of one length differ that are not alike. */
const UNLIKE = 0.4

/** The arming line beside the trigger line by ohmmeter, both of one length. */
function linesCompared(world: World, state: State): Words[] {
  const [arming, trigger] = (
    [
      ['A1', 'A2'],
      ['T1', 'T2'],
    ] as const
  ).map(pair => ohmsAt(world, state, [...pair]))
  if (arming === undefined || trigger === undefined || Math.abs(arming - trigger) < UNLIKE) return [/alike/]
  if (arming > trigger)
    return [trigger < healthyOhms(world, state) - UNLIKE ? /trigger lower/ : /arming higher/]
  return [arming < healthyOhms(world, state) - UNLIKE ? /arming lower/ : /trigger higher/]
}

const OHMMETER = { function: 'ohms', percent: 0, counts: 0, resolution: 0.001, range: 1e9 } as const

function ohmsAt(world: World, state: State, pair: [string, string]): number {
  const shown = reading(world, pair, OHMMETER, state, 0)
  return shown.kind === 'value' ? shown.value : OPEN
}

/** What both lines of this length would read. */
function healthyOhms(world: World, state: State): number {
  return ohmsAt(healthyWorld(world.site), state, ['A1', 'A2'])
}

function indicated(world: World, state: State): Words[] {
  return [operate(world, state).indication === 'healthy' ? /healthy/ : /fail|dark/]
}

/** Each loop heard with the tone of its own, or not. */
function tonesOver(world: World, state: State): Words[] {
  const right = (['arming', 'trigger'] as const).every(
    name => Math.abs(toneOver(world, name, state) - toneOf(world.site, 'right', name)) < 250,
  )
  return right ? [/^right tone/] : [/wrong or missing/]
}

/** What the front of a module shows, beside its telltales. */
function frontSeen({ sights, module }: World): Words[] {
  return [
    ...when(sights.latch === 'not home', /not home/),
    ...when(sights.settings === 'different', /tap different|settings different/),
    ...when(module.variant === 'wrong finish', /finish/),
    ...when(module.variant === 'wrong direction or duty', /wrong direction/, /not allowed/, /wrong module/),
  ]
}

function telltales(world: World, state: State): Words[] {
  const { supply, drive, output } = operate(world, state).telltales
  if (supply && drive && output) return [/all lit/]
  if (!supply) return [/all dark/, /dark/]
  return drive ? [/output dark alone/, /dark/] : [/drive and output dark/, /dark/]
}

function fuseLink({ supply, sights }: World): Words[] {
  if (supply.fuse < 1e3) return [/whole/]
  return [
    ...when(sights.fuseRating === 'smaller', /smaller/),
    ...when(sights.arrester === 'burst', /arrester/),
    /^blown$/,
    /blown/,
  ]
}

/** V AC of the primary below which the feeder is dead there, and below which it is low. */
const DEAD = 25
const LOW = 99

function feederSections(world: World, state: State): Words[] {
  const volts = size(operate(world, state).mains.volts('Z1', 'Z2'))
  if (volts < DEAD) return [/one section/]
  return volts < LOW ? [/low, not dead/] : [/live at every/]
}

function damaged({ sights }: World): Words[] {
  return [
    ...when(sights.lock === 'forced' || sights.seal === 'broken' || sights.wires === 'cut', /case forced/),
    ...when(sights.route !== 'whole', /^cable/),
    ...when(sights.loop !== 'whole', /loop/),
    ...when(sights.lastWork === 'nothing known' && sights.left !== 'nothing', /nothing but/),
  ]
}

/** A below which an output is taken for dead or weak by eye. */
const WEAK = 0.9

function deadChannel(world: World, state: State): Words[] {
  const { arming, trigger } = operate(world, state).outputs
  if (arming < WEAK && trigger < WEAK) return [/both/]
  if (arming < WEAK) return [/^arming/]
  return trigger < WEAK ? [/^trigger/] : [/neither/]
}

function cablesSeen({ sights }: World): Words[] {
  const words = { both: /both|damaged/, arming: /arming/, trigger: /trigger/, gone: /gone/, sheath: /sheath/ }
  return sights.route === 'whole' ? [/whole|sound/] : [words[sights.route]]
}

function wiring({ sights }: World): Words[] {
  return [
    ...when(sights.left === 'strap', /strap/),
    ...when(sights.left === 'loose wire', /loose|spare/),
    ...when(sights.wires === 'wrong terminal' || sights.wires === 'crossed', /wrong terminal|crossed/),
    ...when(sights.wires === 'cut', /cut|off/),
  ]
}

function loopSeen({ sights }: World): Words[] {
  switch (sights.loop) {
    case 'cut':
      return [/cut|crushed/, /damaged/, /worn/]
    case 'fixing':
      return [/fixing/, /loose/, /moved/]
    case 'gone':
      return [/gone/, /damaged/]
    case 'fouled':
      return [/buried|fouled/, /differs/]
    case 'out of place':
      return [/wrong size|out of place/, /differs/, /moved/]
    case 'moved':
      return [/moved/]
    default:
      return [/nothing to see/, /sound|firm|whole/]
  }
}

function says(label: string, wanted: Words): boolean {
  return typeof wanted === 'string' ? label.includes(wanted) : wanted.test(label)
}

/** How a row begins that says that all is well. */
const HEALTHY =
  /^(?:relay and telltale|as the|as recorded|whole|sound|none|dry|firm|tight|steady|quiet|lit|all lit|agrees|one of each|insulated|allowed|latched|nothing|locked|licensed)/

/**
 * The row that says what is there. Where no word is found it is the healthy sight, or the first; `known` is false
 * where this list has nothing for the check at all.
 */
export function look(check: Check, world: World, state: State): { row: Row | null; known: boolean } {
  if (check.does.kind !== 'observe') return { row: null, known: false }
  const about = `${check.title} ${check.does.what}`
  const found = LOOKS.find(([words]) => words.test(about))
  const words = found ? found[1](world, state) : []
  for (const wanted of words) {
    const row = check.rows.find(({ label }) => says(label.toLowerCase(), wanted))
    if (row) return { row, known: true }
  }
  const healthy = check.rows.find(({ label }) => HEALTHY.test(label.toLowerCase()))
  return { row: healthy ?? check.rows[0] ?? null, known: found !== undefined }
}

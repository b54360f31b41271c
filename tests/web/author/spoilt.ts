// Files spoilt in every way, and what stands beside them while an author writes: some in the tests, many in the bench.

import { compile } from '../../../server/knowledge/compile.ts'
import { compareKnowledge } from '../../../server/knowledge/editions/compare.ts'
import { lineDiff } from '../../../server/knowledge/editions/line-diff.ts'
import type { FaultTree, Knowledge } from '../../../server/knowledge/types.ts'
import { namesToUse, nearMisses, offeredCautions } from '../../../server/knowledge/wording.ts'
import { pictureOf } from '../../../server/web/author/trees/tree-picture.ts'
import { guideFolder } from '../../knowledge/folder.ts'
import { mutated, seeded } from '../../knowledge/generated.ts'

/** What a browser would run, or that no drawing holds. */
const harm = /<script|<img|<iframe|\son\w+="|style=|href="(?![#/])|NaN|Infinity/

export interface Drawn {
  pictures: number
  /** What should not have come out, one line each. */
  wrong: string[]
}

/** Draws, compares and helps with the guide's folder, `turns` times spoilt; the same for the same seed. */
export function drawSpoilt(turns: number, seed: number): Drawn {
  const random = seeded(seed)
  const sound = compile(guideFolder).knowledge
  if (!sound) throw new Error('the guide is not sound')
  const drawn: Drawn = { pictures: 0, wrong: [] }
  for (let turn = 0; turn < turns; turn++) {
    const files = guideFolder.map(file => ({
      ...file,
      text: random() < 0.7 ? mutated(file.text, random) : file.text,
    }))
    const { knowledge } = compile(files, { lenient: true })
    if (!knowledge) continue
    compareKnowledge(sound, knowledge)
    nearMisses(knowledge)
    lineDiff(guideFolder[0]?.text ?? '', files[0]?.text ?? '')
    for (const tree of knowledge.trees.values()) {
      const picture = pictureOf(knowledge, tree)
      if (picture) drawn.pictures += 1
      const wrong = [...wrongHelp(knowledge, tree), ...(harm.exec(picture?.svg ?? '') ?? [])]
      drawn.wrong.push(...wrong.map(what => `turn ${turn}, ${tree.slug}: ${what}`))
    }
  }
  return drawn
}

/** Sealed terminals are not offered as names, and what is offered as a caution is one. */
function wrongHelp(knowledge: Knowledge, tree: FaultTree): string[] {
  const kit = knowledge.equipment.get(tree.equipment)
  if (!kit) return []
  const names = namesToUse(kit, tree).flatMap(group => group.names)
  const sealed = names.filter(name => kit.terminals.some(one => one.sealed && one.name === name.insert))
  const cautions = offeredCautions(knowledge, kit, tree).filter(one => !/^> /.test(one.offers.join('')))
  return [
    ...sealed.map(name => `the sealed terminal ${name.insert} is offered`),
    ...cautions.map(one => `no caution: ${one.offers.join('')}`),
  ]
}

import type { Equipment, Terminal } from './types.ts'

/** The terminals of the equipment that a text names, as the equipment writes them, in the order of its table. */
export function terminalsIn({ terminals }: Pick<Equipment, 'terminals'>, text: string): Terminal[] {
  const words = new Set(text.split(/[^\p{L}\p{N}+-]+/u).map(word => word.replace(/^[-+]+|[-+]+$/g, '')))
  return terminals.filter(terminal => words.has(terminal.name))
}

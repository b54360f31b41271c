/** With its first letter large, as a sentence begins. */
export function sentence(text: string): string {
  return text.slice(0, 1).toUpperCase() + text.slice(1)
}

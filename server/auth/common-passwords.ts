// Words that passwords are made of again and again. Common practice, no published source: a small list, so that a word
// with figures or a sign on its end is refused, whatever its capitals.

const common = new Set(
  `password passwort passw0rd letmein welcome admin administrator login master monkey dragon sunshine princess football
  baseball superman batman iloveyou trustno qwerty qwertyuiop qwertz azerty asdfgh asdfghjkl zxcvbn zxcvbnm abcdefgh
  abcdefghij changeme secret default summer winter spring autumn january february march april june july august september
  october november december monday tuesday wednesday thursday friday saturday sunday london england scotland wales
  computer internet access user guest test testing temp temporary please pass word hello goodbye whatever nothing
  company office depot railway railways railroad train trains track signal signals signalling signalman technician
  engineer fourfoot transmitter maintenance station platform loop loops fault faults
  liverpool arsenal chelsea tottenham celtic rangers united charlie michael jessica jennifer thomas daniel george
  flower chocolate cookie banana orange purple yellow silver golden diamond freedom shadow hunter ranger thunder`.split(
    /\s+/,
  ),
)

const signs: Record<string, string> = {
  '0': 'o',
  '1': 'i',
  '3': 'e',
  '4': 'a',
  '5': 's',
  '7': 't',
  '@': 'a',
  $: 's',
}

/** Whether nothing is left of it once common words, the person's own name, figures and signs are taken out. */
export function isCommon(password: string, name: string): boolean {
  const plain = password.toLowerCase()
  const read = [...plain].map(letter => signs[letter] ?? letter).join('')
  const own = name.toLowerCase().split(/\s+/)
  return [plain, read].some(text => leftOf(text, own).length < 6)
}

function leftOf(text: string, own: string[]): string {
  const words = [...common, ...own].filter(word => word.length > 2).sort((a, b) => b.length - a.length)
  return words.reduce((left, word) => left.replaceAll(word, ''), text).replace(/[^\p{L}]/gu, '')
}

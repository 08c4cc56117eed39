// Random numbers of the truth simulator: the same ones for the same words, whatever else was drawn before.
// The generator is sfc32 (C. Doty-Humphrey, PractRand), seeded by hashing the words with FNV-1a.

export interface Random {
  /** In [0, 1). */
  uniform(): number;
  between(low: number, high: number): number;
  /** Evenly over the logarithm: as often from 1 to 2 as from 2 to 4. */
  evenlyOverLog(low: number, high: number): number;
  normal(): number;
  /** Waiting time of a Poisson process. */
  exponential(mean: number): number;
  chance(probability: number): boolean;
  oneOf<T>(choices: readonly [T, ...T[]]): T;
}

export function randomOf(...words: readonly (string | number)[]): Random {
  const next = sfc32(words.join("|"));
  let spare: number | null = null;
  const uniform = () => next() / 2 ** 32;

  /** Marsaglia's polar method: two at a time. */
  function normal(): number {
    if (spare !== null) {
      const kept = spare;
      spare = null;
      return kept;
    }
    for (;;) {
      const x = 2 * uniform() - 1;
      const y = 2 * uniform() - 1;
      const square = x * x + y * y;
      if (square >= 1 || square === 0) continue;
      const stretch = Math.sqrt((-2 * Math.log(square)) / square);
      spare = y * stretch;
      return x * stretch;
    }
  }

  return {
    uniform,
    normal,
    between: (low, high) => low + (high - low) * uniform(),
    evenlyOverLog: (low, high) => low * (high / low) ** uniform(),
    exponential: (mean) => -mean * Math.log(1 - uniform()),
    chance: (probability) => uniform() < probability,
    oneOf: (choices) => choices[Math.floor(uniform() * choices.length)] ?? choices[0],
  };
}

function sfc32(text: string): () => number {
  let [a, b, c, counter] = [fnv1a(text, 1), fnv1a(text, 2), fnv1a(text, 3), 1];
  const next = () => {
    const out = (a + b + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (((c << 21) | (c >>> 11)) + out) | 0;
    return out >>> 0;
  };
  for (let i = 0; i < 15; i++) next();
  return next;
}

function fnv1a(text: string, salt: number): number {
  let hash = (0x811c9dc5 ^ salt) >>> 0;
  for (let i = 0; i < text.length; i++) hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193) >>> 0;
  return hash | 0;
}

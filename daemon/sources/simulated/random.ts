// Seeded random numbers: the same seed gives the same house to the last digit, on every machine.

export interface Random {
  /** Evenly spread over [0, 1). */
  uniform(): number;
  /** Normally distributed with mean 0 and the given standard deviation. */
  normal(standardDeviation: number): number;
}

/**
 * xoshiro128** (Blackman and Vigna, "Scrambled linear pseudorandom number generators", 2021), its state filled from the
 * seed by splitmix32. `stream` tells generators of one seed apart, so that one part of a house can change without
 * another.
 */
export function seededRandom(seed: number, stream = 0): Random {
  const fill = splitmix32(seed ^ Math.imul(stream + 1, 0x9e3779b1));
  const next = xoshiro128(fill(), fill(), fill(), fill());
  const uniform = () => next() / 2 ** 32;
  return {
    uniform,
    // Box and Muller (1958); 1 − u keeps the logarithm away from 0
    normal: (sd) => (sd === 0 ? 0 : sd * Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform())),
  };
}

/** The bare generator from its state of four words, not all zero; gives whole numbers from 0 to 2³² − 1. */
export function xoshiro128(a: number, b: number, c: number, d: number): () => number {
  return () => {
    const result = Math.imul(rotateLeft(Math.imul(b, 5), 7), 9) >>> 0;
    const shifted = b << 9;
    c ^= a;
    d ^= b;
    b ^= c;
    a ^= d;
    c ^= shifted;
    d = rotateLeft(d, 11);
    return result;
  };
}

function splitmix32(seed: number): () => number {
  let state = seed | 0;
  return () => {
    state = (state + 0x9e3779b9) | 0;
    let mixed = Math.imul(state ^ (state >>> 16), 0x21f0aaad);
    mixed = Math.imul(mixed ^ (mixed >>> 15), 0x735a2d97);
    return mixed ^ (mixed >>> 15);
  };
}

function rotateLeft(word: number, bits: number): number {
  return (word << bits) | (word >>> (32 - bits));
}

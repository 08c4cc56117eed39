// Packs seven-bit characters into octets and back (3GPP TS 23.038, 6.1.2.1): the lowest bits first, without a gap.

/**
 * @param fill bits left free at the beginning, so that the first character after a header begins on a septet's border
 */
export function packSeptets(septets: readonly number[], fill = 0): Uint8Array {
  const octets = new Uint8Array(Math.ceil((fill + septets.length * 7) / 8));
  for (const [i, septet] of septets.entries()) {
    const bit = fill + i * 7;
    const [octet, shift] = [bit >> 3, bit & 7];
    octets[octet] = (octets[octet] ?? 0) | (septet << shift);
    if (shift > 1) octets[octet + 1] = septet >> (8 - shift);
  }
  return octets;
}

/** @param count of characters */
export function unpackSeptets(octets: Uint8Array, count: number, fill = 0): number[] {
  return Array.from({ length: count }, (_, i) => {
    const bit = fill + i * 7;
    const pair = (octets[bit >> 3] ?? 0) | ((octets[(bit >> 3) + 1] ?? 0) << 8);
    return (pair >> (bit & 7)) & 0x7f;
  });
}

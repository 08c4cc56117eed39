// Whether a start waited for the supply: then it tells nothing of where the float closes.

/** Within so long after the supply is back, or within two readings; common practice, no source. */
const atOnce_s = 10;

/** The supply may be read a moment after the start. @param poweredAt_s when the supply last came back; NaN before it has */
export function waitedForSupply(poweredAt_s: number, startedAt_s: number, interval_s: number): boolean {
  const since_s = startedAt_s - poweredAt_s;
  return Math.abs(since_s) <= Math.max(atOnce_s, 2 * interval_s);
}

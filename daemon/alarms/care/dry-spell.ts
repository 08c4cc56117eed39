// Since when it has been dry, from the rain that was measured. Without a gauge nobody knows, and nothing is said.

/** So long after rain its water still comes; and what counts as rain. Common practice, no source. */
const comesFor_s = 3 * 86_400;
const asGoodAsDry_m = 0.001;

export interface DrySpell {
  /** Rain that fell since the reading before; null: the gauge said nothing. */
  push(time_s: number, rain_m: number | null): void;
  /** Whether no rain that matters fell in the last three days; null: not known for so long. */
  isDry(now_s: number): boolean | null;
}

export function createDrySpell(): DrySpell {
  let since_s: number | null = null;
  let last_s: number | null = null;
  let falls: { readonly time_s: number; readonly rain_m: number }[] = [];
  return {
    push(time_s, rain_m) {
      if (rain_m === null) return;
      // A gauge that was silent for a day may have missed a storm.
      if (last_s === null || time_s - last_s > 86_400) since_s = time_s;
      last_s = time_s;
      if (rain_m > 0) falls.push({ time_s, rain_m });
      if (falls.length > 0 && (falls[0]?.time_s ?? 0) < time_s - comesFor_s)
        falls = falls.filter((fall) => fall.time_s >= time_s - comesFor_s);
    },
    isDry(now_s) {
      if (since_s === null || last_s === null || now_s - since_s < comesFor_s || now_s - last_s > 86_400) return null;
      const fallen_m = falls
        .filter(({ time_s }) => time_s >= now_s - comesFor_s)
        .reduce((sum, { rain_m }) => sum + rain_m, 0);
      return fallen_m < asGoodAsDry_m;
    },
  };
}

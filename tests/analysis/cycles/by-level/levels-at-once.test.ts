import { describe, expect, it } from "vitest";
import { feedLevel } from "../../../../analysis/cycles/by-level/level-runs.ts";
import { newLevelRuns } from "../../../../analysis/cycles/by-level/level-runs-state.ts";
import { feedLevels } from "../../../../analysis/cycles/by-level/levels-at-once.ts";
import { noSample } from "../../../../analysis/cycles/by-signal/steady-signal.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";

const settings = { swing_m: 0.2 };
const begin = 10;

describe("feedLevels", () => {
  // Rates of rise in mm/s; what a spike adds, in mm.
  it.each([
    ["water that rises with noise", 0.1, 0, 0.0015],
    ["water that stands", 0, 0, 0.0015],
    ["water that sinks slowly", -0.05, 0, 0.0015],
    ["a sensor that shows whole millimetres", 0.02, 0, 0],
    ["spikes up and down", 0.1, 60, 0.001],
    ["runs that no signal tells of", -6, 0, 0.001],
  ])("leaves the same behind as one level after the other: %s", (_, rate_mms, spike_mm, noise_m) => {
    for (let seed = 1; seed <= 12; seed += 1) {
      const { time_s, level_m } = levels(seed, rate_mms, spike_mm, noise_m);
      const one = played(time_s, level_m, 1);
      for (const count of [3, 57, 256]) expect(played(time_s, level_m, count)).toEqual(one);
    }
  });
});

function levels(seed: number, rate_mms: number, spike_mm: number, noise_m: number) {
  const random = seededRandom(seed);
  const time_s = Float64Array.from({ length: 1500 }, (_, i) => 1e9 + i);
  let water_m = 0.25;
  const level_m = time_s.map((_, i) => {
    water_m += rate_mms / 1000;
    if (water_m < 0.1 || water_m > 0.35) water_m = 0.25;
    const spike_m = i % 97 < 3 ? (spike_mm / 1000) * (random.normal(1) < 0 ? -1 : 1) : 0;
    return Math.round((water_m + random.normal(noise_m) + spike_m) * 1000) / 1000;
  });
  return { time_s, level_m };
}

/** The state, and every edge. */
function played(time_s: Float64Array, level_m: Float64Array, count: number) {
  const state = newLevelRuns();
  const edges: [number, boolean][] = [];
  const output = { edge: (at_s: number, on: boolean) => void edges.push([at_s, on]), sample: noSample };
  for (let i = 0; i < begin; i += 1) feedLevel(state, settings, time_s[i] ?? 0, level_m[i] ?? 0, output);
  for (let i = begin; i < time_s.length; i += count) {
    const to = Math.min(time_s.length, i + count);
    if (count === 1) feedLevel(state, settings, time_s[i] ?? 0, level_m[i] ?? 0, output);
    else feedLevels(state, settings, time_s.subarray(i, to), level_m.subarray(i - 4, to), to - i, output);
  }
  const { waiting, ...rest } = state;
  const waits = [waiting.time_s, waiting.level_m, waiting.smooth_m].map((column) =>
    [...column].slice(waiting.first, waiting.first + waiting.count),
  );
  return { edges, rest, waits };
}

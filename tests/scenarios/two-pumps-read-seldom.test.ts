import { describe, expect, it } from "vitest";
import { type Reading, silentReading } from "../../analysis/readings/reading.ts";
import { analyse } from "../analysis/analyse.ts";
import { drawnPair } from "../truth/drawn-basin.ts";
import { play } from "../truth/play.ts";

const lpm = 60_000;

/** A drawn pair of pumps, sound or with one that fails for some hours, in a storm that needs both; read each 10 s. */
function played(key: string, seed: number) {
  const { plan: drawn } = drawnPair(seed, key);
  const channels = ["level", "pumpOn", "pump2On", "highFloat", "mains"] as const;
  const plan = { ...drawn, sample_s: 10, days: 3, senses: { ...drawn.senses, channels, bounce_s: 0 } };
  const { readings, truth } = play(plan, key, seed);
  return { site: plan.site, readings: [...readings], truth: truth() };
}

/** The contacts are asked at every so many readings. */
function askedAt(readings: readonly Reading[], every: number): Reading[] {
  return readings.map((row, i) => (i % every === 0 ? row : { ...row, pumpOn: null, pump2On: null }));
}

/** They are written when either changes, and each minute. */
function whenChanged(readings: readonly Reading[]): Reading[] {
  let said: Reading = silentReading;
  let due_s = Number.NEGATIVE_INFINITY;
  return readings.map((row) => {
    const changed = row.pumpOn !== said.pumpOn || row.pump2On !== said.pump2On;
    said = row;
    if (!changed && row.time_s < due_s) return { ...row, pumpOn: null, pump2On: null };
    if (row.time_s >= due_s) due_s = row.time_s + 60;
    return row;
  });
}

const thinned = {
  "at each level": (readings: readonly Reading[]) => askedAt(readings, 1),
  "at each sixth level": (readings: readonly Reading[]) => askedAt(readings, 6),
  "when they change, and each minute": whenChanged,
};

describe.each([
  ["of which one stands by", "g", 14],
  ["that take turns", "g", 15],
  ["that take turns", "h", 20],
])("two pumps %s, in a storm that needs both (%s %i)", (_, key, seed) => {
  const { site, readings, truth } = played(key, seed);
  const { inflow_m3, pumped_m3, standby_m3 } = truth.totals;
  const mean_lpm = (inflow_m3 / truth.duration_s) * lpm;

  it.each(Object.entries(thinned))("are not taken for one, by contacts read %s", (_way, thin) => {
    const { inflow, totals, findings } = analyse(site, thin(readings)).summary;
    const off_lpm = (inflow.mean_lpm ?? Number.NaN) - mean_lpm;
    expect(inflow.mean_at_least === true ? off_lpm : Math.abs(off_lpm)).toBeLessThan(
      Math.max(0.01 * mean_lpm, inflow.mean_u95_lpm ?? 0),
    );
    // What both moved at once is told or not known.
    const off_l = totals.pumped_l === null ? 0 : totals.pumped_l - 1000 * (pumped_m3 + standby_m3);
    expect(Math.abs(off_l)).toBeLessThan(Math.max(0.05 * 1000 * pumped_m3, totals.pumped_u95_l ?? 0));
    // While one holds what it can and the other is not yet called, nothing exceeds them.
    expect(findings.map(({ kind }) => kind)).not.toContain("inflow-exceeds-pump");
  });
});

// Rests of a few readings each: when the pump starts and stops, and what that says of the inflow.

import { describe, expect, it } from "vitest";
import { feedLevel } from "../../../../analysis/cycles/by-level/level-runs.ts";
import { newLevelRuns } from "../../../../analysis/cycles/by-level/level-runs-state.ts";
import type { Reading } from "../../../../analysis/readings/reading.ts";
import { medianInPlace } from "../../../../analysis/statistics/median.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { analyse } from "../../analyse.ts";
import { area_m2, pumpRate_m3s, reading, smallSite, startTime_s } from "../../small-basin.ts";
import { hear } from "../heard.ts";

const [start_m, stop_m] = [0.3, 0.1];
const pace_ms = pumpRate_m3s / area_m2;
const tick_s = 0.1;
const median = (values: readonly number[]) => medianInPlace(Float64Array.from(values));

/** A basin of which a share of what the pump moves comes in, read each 5 s. */
function played(share: number, duration_s: number, noise_m: number) {
  const random = seededRandom(3);
  const really: { startedAt_s: number; stoppedAt_s: number }[] = [];
  const readings: { readonly time_s: number; readonly level_m: number }[] = [];
  let [level_m, startedAt_s] = [0.15, Number.NaN];
  for (let i = 0; i * tick_s <= duration_s; i += 1) {
    const time_s = i * tick_s;
    const runs = !Number.isNaN(startedAt_s);
    if (!runs && level_m >= start_m) startedAt_s = time_s;
    if (runs && level_m <= stop_m) {
      really.push({ startedAt_s, stoppedAt_s: time_s });
      startedAt_s = Number.NaN;
    }
    if (i % 50 === 0) readings.push({ time_s, level_m: level_m + random.normal(noise_m) });
    level_m += tick_s * pace_ms * (share - (Number.isNaN(startedAt_s) ? 0 : 1));
  }
  return { really, readings };
}

describe("rests of four to six readings, by the level alone", () => {
  // 0.2 m at 11 mm/s: with 0.6 of that coming in the pump rests 30 s and runs 45 s, with 0.8 of it 23 s and 91 s.
  it.each([0.6, 0.7, 0.8])("are parted from the runs to a second or so, with %f of what the pump moves", (share) => {
    const { really, readings } = played(share, 7200, 0.0015);
    const state = newLevelRuns();
    const heard = hear();
    for (const { time_s, level_m } of readings) feedLevel(state, { swing_m: start_m - stop_m }, time_s, level_m, heard);
    const found = heard.runs();
    const last = really.slice(5, -2);
    const off = last.map((run) => {
      const said = found.find(({ startedAt_s }) => Math.abs(startedAt_s - run.startedAt_s) < 6);
      return {
        start_s: (said?.startedAt_s ?? 0) - run.startedAt_s,
        stop_s: (said?.stoppedAt_s ?? 0) - run.stoppedAt_s,
      };
    });
    expect(median(off.map(({ start_s }) => Math.abs(start_s)))).toBeLessThan(0.5);
    expect(median(off.map(({ stop_s }) => Math.abs(stop_s)))).toBeLessThan(0.5);
    expect(Math.abs(median(off.map(({ stop_s, start_s }) => stop_s - start_s)))).toBeLessThan(0.4);
  });

  it.each([0.6, 0.7, 0.8])("show the inflow to a fiftieth, of %f of what the pump moves", (share) => {
    const { readings } = played(share, 2 * 3600, 0.0015);
    const calm = played(0.05, 4 * 3600, 0.0015).readings;
    const all: Reading[] = [...calm, ...readings.map((each) => ({ ...each, time_s: 4 * 3600 + 5 + each.time_s }))].map(
      ({ time_s, level_m }) => reading(startTime_s + time_s, { level_m }),
    );
    const { said } = analyse(smallSite, all);
    const storm = said.inflow.filter(({ from_s }) => from_s > startTime_s + 4.5 * 3600);
    const length = storm.reduce((sum, { from_s, to_s }) => sum + to_s - from_s, 0);
    const volume = storm.reduce((sum, { from_s, to_s, inflow_m3s }) => sum + (inflow_m3s ?? 0) * (to_s - from_s), 0);
    expect(Math.abs(volume / length / (share * pumpRate_m3s) - 1)).toBeLessThan(0.02);
  });
});

describe("the line along which a rest rose", () => {
  it("is none of an earlier rest", () => {
    // Of noise of 4 mm, by which most turns are told another way.
    const { readings } = played(0.7, 7200, 0.004);
    const state = newLevelRuns();
    const heard = hear();
    let oldest_s = 0;
    for (const { time_s, level_m } of readings) {
      feedLevel(state, { swing_m: start_m - stop_m }, time_s, level_m, heard);
      const stopped_s = heard.runs().at(-1)?.stoppedAt_s ?? Number.NaN;
      const { rising } = state.fall;
      if (rising !== null && state.running === false) oldest_s = Math.max(oldest_s, stopped_s - rising.time_s);
    }
    expect(oldest_s).toBeLessThan(10);
  });
});

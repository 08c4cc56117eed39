import { describe, expect, it } from "vitest";
import { addSample, emptySamples, restartSamples } from "../../../analysis/cycles/samples.ts";
import type { TrackerContext } from "../../../analysis/cycles/tracker-context.ts";
import { fillsBetweenRuns } from "../../../analysis/cycles/unseen-runs.ts";
import { basinGeometry } from "../../../analysis/geometry/basin.ts";
import { hour_s, play, site } from "../../scenarios/dirt/dirty-basin.ts";
import { analyse } from "../analyse.ts";
import { courseAt, smallSite } from "../small-basin.ts";

const geometry = basinGeometry(smallSite.basin.geometry);

function unseen(levels_m: readonly number[], interval_s = 60): boolean {
  const samples = emptySamples();
  restartSamples(samples, 0);
  for (const [i, level_m] of levels_m.entries()) addSample(samples, i * interval_s, geometry.volume_m3(level_m));
  return fillsBetweenRuns(samples, { basin: smallSite.basin, geometry, interval_s } as TrackerContext) !== null;
}

describe("fillsBetweenRuns", () => {
  const rising = Array.from({ length: 20 }, (_, i) => 0.1 + 0.01 * i);

  it("is true of levels that fall and fill again, and not of one fill", () => {
    expect(unseen(Array.from({ length: 20 }, (_, i) => courseAt(97 * i).level_m))).toBe(true);
    expect(unseen(rising)).toBe(false);
  });

  it("is true of a single run that went unseen, also where the fall lies within a block of levels", () => {
    expect(unseen([...rising, ...rising], 10)).toBe(true);
    expect(unseen([...rising, 0.2, ...rising], 10)).toBe(true);
  });

  it("is true of a run that a contact missed, read every second", () => {
    // Two fills of 200 s with a run of 20 s between them.
    expect(
      unseen(
        Array.from({ length: 420 }, (_, t) => courseAt(t).level_m),
        1,
      ),
    ).toBe(true);
    expect(
      unseen(
        Array.from({ length: 200 }, (_, t) => courseAt(t).level_m),
        1,
      ),
    ).toBe(false);
    // By and by the ground may take as much back.
    expect(
      unseen(
        Array.from({ length: 420 }, (_, t) => 0.3 - 0.0004 * t),
        1,
      ),
    ).toBe(false);
  });

  it("is not true of a fill in which the sensor held a spike for a minute, and leapt back", () => {
    const held = Array.from({ length: 40 }, (_, i) => (i >= 15 && i < 25 ? 0.05 : 0.25 + 0.001 * i));
    expect(unseen(held, 5)).toBe(false);
    // What fills again by and by has been pumped.
    expect(
      unseen(
        Array.from({ length: 40 }, (_, i) => (i < 15 ? 0.25 + 0.003 * i : 0.05 + 0.003 * i)),
        5,
      ),
    ).toBe(true);
  });

  it("is not true of a fill with spikes, nor of levels that toss where readings are close", () => {
    expect(unseen(rising.map((level_m, i) => (i % 10 === 5 ? level_m + 0.2 : level_m)))).toBe(false);
    expect(unseen(rising.map((level_m, i) => (i === 5 || i === 6 ? level_m + 0.2 : level_m)))).toBe(false);
    expect(unseen([0.3, 0.1, 0.3, 0.1, 0.3, 0.1], 5)).toBe(false);
    expect(unseen([0.34, 0.37, 0.46, ...rising], 5)).toBe(false);
  });
});

describe("a second pump that takes every other turn and that nothing watches", () => {
  const hours = 8;
  const inStorm = (t_s: number) => t_s > 3 * hour_s && t_s < 4 * hour_s;

  function unwatched(sample_s: number) {
    const played = play({ hours, sample_s, inflow_lpm: (t_s) => (inStorm(t_s) ? 60 : 4) });
    let run = 0;
    let on = false;
    const readings = played.readings.map((reading) => {
      if (reading.pumpOn === true && !on) run += 1;
      on = reading.pumpOn === true;
      return { ...reading, pumpOn: on && run % 2 === 1 };
    });
    return { ...played, ...analyse(site, readings) };
  }

  it.each([1, 5])("leaves mean and peaks as they are, in a storm too: read every %s s", (sample_s) => {
    const { summary, meanInflow_lpm } = unwatched(sample_s);
    expect(Math.abs((summary.inflow.mean_lpm ?? 0) / meanInflow_lpm - 1)).toBeLessThan(0.01);
    expect(Math.abs((summary.inflow.peak[3600]?.lpm ?? 0) / 60 - 1)).toBeLessThan(0.03);
    expect(summary.inflow.peak[3600]?.at_least).toBeUndefined();
  });

  it("makes no rest of two fills a single one where the site file says nothing of the floats, read each minute", () => {
    const { readings } = play({ hours: 48, sample_s: 60, inflow_lpm: () => 0.6 });
    let run = 0;
    const watched = readings.map((reading, i) => {
      if (reading.pumpOn === true && readings[i - 1]?.pumpOn !== true) run += 1;
      return { ...reading, pumpOn: reading.pumpOn === true && run % 2 === 1 };
    });
    const bare = { ...site, basin: { ...site.basin, startLevel_m: null, stopLevel_m: null } };
    const { cycles } = analyse(bare, watched);
    const known = cycles.slice(1).flatMap(({ inflow }) => inflow ?? []);
    for (const { flow_m3s } of known) expect(Math.abs(flow_m3s * 60_000 - 0.6)).toBeLessThan(0.06);
  });

  it("tells the inflow of each rest by the fills in it", () => {
    const { cycles, readings } = unwatched(1);
    const first_s = readings[0]?.time_s ?? 0;
    const calm = cycles.filter(({ startedAt_s, rest_s }) => rest_s !== null && startedAt_s - first_s < 3 * hour_s);
    expect(calm.length).toBeGreaterThan(6);
    for (const { inflow } of calm) expect(Math.abs((inflow?.flow_m3s ?? 0) * 60_000 - 4)).toBeLessThan(0.1);
  });
});

it.each([30, 60])("tells no inflow of rests that many runs went by in: read every %s s", (sample_s) => {
  const inStorm = (t_s: number) => t_s > 2 * hour_s && t_s < 4 * hour_s;
  const { readings } = play({ hours: 6, sample_s, inflow_lpm: (t_s) => (inStorm(t_s) ? 60 : 3) });
  const first_s = readings[0]?.time_s ?? 0;
  // Once so many runs were seen that they must be more than can be told one by one.
  const stormy = analyse(site, readings).cycles.filter(
    ({ startedAt_s, rest_s }) => startedAt_s - (rest_s ?? 0) > first_s + 3 * hour_s && inStorm(startedAt_s - first_s),
  );
  expect(stormy.length).toBeGreaterThan(2);
  for (const { inflow } of stormy) expect(inflow).toBeNull();
});

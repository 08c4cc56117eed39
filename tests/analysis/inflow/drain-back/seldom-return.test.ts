import { describe, expect, it } from "vitest";
import {
  beginningOfRest,
  newSeldomReturn,
  type RestBeginning,
  rememberBeginning,
  seldomReturn_m3,
} from "../../../../analysis/inflow/drain-back/seldom-return.ts";
import type { Reading } from "../../../../analysis/readings/reading.ts";
import { analyse } from "../../analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "../../small-basin.ts";

const stop_m3 = 0.02;

/** Rests of 20 minutes read every 30 s, the first so long after the stop; 7 L come back within 10 s. */
function rest(first_s: number, back_m3 = 0.007, last_m3: number | null = null): RestBeginning | null {
  const t = Float64Array.from({ length: 40 }, (_, i) => first_s + 30 * i);
  const y = t.map((time_s) => stop_m3 + back_m3 * Math.min(1, time_s / 10) + 2e-5 * time_s);
  return beginningOfRest({ t, y, weight: t.map(() => 1), count: t.length }, last_m3, stop_m3, 30);
}

function shownBy(rests: readonly (RestBeginning | null)[]): number {
  const state = newSeldomReturn();
  for (const one of rests) if (one !== null) rememberBeginning(state, one);
  return seldomReturn_m3(state);
}

/** Filled by 1.5 L/min or so, emptied by 60 L/min; from the second day on `back_m3` come back in the 8 s after each stop. */
function days(count: number, every_s: number, back_m3: number) {
  const readings: Reading[] = [];
  let [volume_m3, on, stopped_s, cameIn_m3] = [0.015, false, Number.NEGATIVE_INFINITY, 0];
  for (let t = 0; t < count * 86_400; t += 1) {
    const q = 2.5e-5 * (1 + 0.2 * Math.sin(t / 9000));
    cameIn_m3 += q;
    volume_m3 += q + (t - stopped_s < 8 && t > 86_400 ? back_m3 / 8 : 0) - (on ? 1e-3 : 0);
    if (!on && volume_m3 >= 0.03) on = true;
    if (on && volume_m3 <= 0.01) [on, stopped_s] = [false, t];
    if (t % every_s === 0) readings.push(reading(startTime_s + t, { level_m: volume_m3 / area_m2, pumpOn: on }));
  }
  return { readings, mean_lpm: (60_000 * cameIn_m3) / (count * 86_400) };
}

describe("a valve that leaks within seconds, read every 10 s", () => {
  const { readings, mean_lpm } = days(8, 10, 0.005);
  const { said, summary } = analyse(smallSite, readings);

  it("is found, with about what comes back", () => {
    expect(summary.findings.map(({ kind }) => kind)).toContain("check-valve-leak");
    const last = said.cycles.findLast(({ stage }) => stage === "settled")?.cycle;
    expect(last?.drainBack_m3).toBeGreaterThan(0.0035);
    expect(last?.drainBack_m3).toBeLessThan(0.0055);
  });

  it("is found where the site file says nothing of the float's levels", () => {
    const basin = { ...smallSite.basin, startLevel_m: null, stopLevel_m: null, highLevel_m: null };
    const kinds = analyse({ ...smallSite, basin }, readings).summary.findings.map(({ kind }) => kind);
    expect(kinds).toContain("check-valve-leak");
  });

  it("adds nothing to the inflow, once it is known", () => {
    expect(Math.abs((summary.inflow.mean_lpm ?? 0) / mean_lpm - 1)).toBeLessThan(0.01);
    const after = said.inflow.filter(({ from_s }) => from_s > startTime_s + 6 * 86_400);
    for (const { inflow_m3s } of after) expect(Math.abs(inflow_m3s / 2.5e-5 - 1)).toBeLessThan(0.3);
  });
});

const firsts_s = Array.from({ length: 40 }, (_, i) => 30 * ((i * 0.618) % 1));

/** The same where the ground's water slows as the basin fills, towards 110 L more than the pump leaves. */
function slowingRest(first_s: number, back_m3: number): RestBeginning | null {
  const t = Float64Array.from({ length: 30 }, (_, i) => first_s + 15 * i);
  const cameIn_m3 = (time_s: number) => (0.11 - back_m3) * -Math.expm1(-time_s / 315);
  const y = t.map((time_s) => stop_m3 + back_m3 * Math.min(1, time_s / 10) + cameIn_m3(time_s));
  return beginningOfRest({ t, y, weight: t.map(() => 1), count: t.length }, null, stop_m3, 15);
}

describe("water that is back before the next reading, where inflow slows as the basin fills", () => {
  const shown_m3 = (back_m3: number) => shownBy(firsts_s.map((first_s) => slowingRest(first_s / 2, back_m3)));

  it("is not what came in faster at first", () => {
    expect(shown_m3(0.001)).toBeLessThan(0.002);
  });

  it("is found beside it", () => {
    expect(shown_m3(0.007)).toBeGreaterThan(0.0045);
    expect(shown_m3(0.007)).toBeLessThan(0.008);
  });
});

/** Towards 25 L more than the pump leaves, of which 20 L start it: ever faster as a storm fills the ground. Read every 10 s. */
function restInStorm(first_s: number, time_s: number, back_m3: number): RestBeginning | null {
  const volume_m3 = (t: number) =>
    stop_m3 + back_m3 * Math.min(1, t / 10) + (0.025 - back_m3) * -Math.expm1(-t / time_s);
  const t = Float64Array.from({ length: 90 }, (_, i) => first_s + 10 * i).filter((t) => volume_m3(t) < stop_m3 + 0.02);
  const y = t.map(volume_m3);
  return beginningOfRest({ t, y, weight: t.map(() => 1), count: t.length }, null, stop_m3, 10);
}

describe("water that is back before the next reading, while a storm makes the ground's come in ever faster", () => {
  const shown_m3 = (back_m3: number) =>
    shownBy(
      firsts_s.map((first_s, i) => restInStorm(first_s / 3, 320 - 25 * Math.max(0, Math.min(9.8, i - 20)), back_m3)),
    );

  it("is not what came in faster at first", () => {
    expect(shown_m3(0.0005)).toBeLessThan(0.002);
  });

  it("is found beside it", () => {
    expect(shown_m3(0.007)).toBeGreaterThan(0.004);
    expect(shown_m3(0.007)).toBeLessThan(0.008);
  });
});

describe("water that is back before the next reading", () => {
  it("shows by the readings that happen to fall about a stop: somewhat less than the 7 L that come back", () => {
    const found_m3 = shownBy(firsts_s.map((first_s) => rest(first_s)));
    expect(found_m3).toBeGreaterThan(0.005);
    expect(found_m3).toBeLessThanOrEqual(0.007);
  });

  it("shows by the last readings of runs, too", () => {
    const seen = firsts_s.map((first_s, i) => rest(10 + (first_s * 2) / 3, 0.007, i % 8 === 0 ? 0.0205 : 0.03));
    expect(shownBy(seen)).toBeCloseTo(0.0065, 4);
  });

  it("is none behind a sound valve, nor where single rests have water poured in, or spikes lie under the stop level", () => {
    expect(shownBy(firsts_s.map((first_s) => rest(first_s, 0.0004)))).toBeLessThan(0.001);
    expect(shownBy(firsts_s.map((first_s, i) => rest(first_s, i % 5 === 0 ? 0.012 : 0.0004)))).toBeLessThan(0.001);
    expect(shownBy(firsts_s.map((first_s, i) => rest(first_s, (i % 7) * 0.002)))).toBe(0);
    expect(shownBy(firsts_s.map((first_s, i) => rest(first_s, 0.0004, i % 8 === 0 ? 0.012 : null)))).toBeLessThan(
      0.001,
    );
  });

  it("is not known before a dozen rests, nor of rests too short to show their line", () => {
    expect(shownBy(firsts_s.slice(0, 11).map((first_s) => rest(first_s)))).toBe(0);
    const t = Float64Array.of(5, 35, 65);
    const short = { t, y: t.map(() => 0.02), weight: t.map(() => 1), count: 3 };
    expect(beginningOfRest(short, null, stop_m3, 30)).toBeNull();
  });
});

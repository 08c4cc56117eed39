import { describe, expect, it } from "vitest";
import type { Reading } from "../../analysis/readings/reading.ts";
import { analyse } from "./analyse.ts";
import { area_m2, reading, siteWithCurve, startTime_s } from "./small-basin.ts";

const hour_s = 3600;
const pump_m3s = 1.1e-3;
const active_m3 = 0.2 * area_m2;
const room_m3 = 0.6 * area_m2;

interface Plan {
  readonly every_s: number;
  /** Inflow as a share of what the pump moves, so many hours after the first reading. */
  readonly share: (hours: number) => number;
  /** The pump stands from then on. */
  readonly fails_s?: number;
  /** … until then. */
  readonly mended_s?: number;
  readonly hours?: number;
  /** Each reading comes twice. */
  readonly twice?: boolean;
  /** So long nothing tells the level. */
  readonly silent_s?: readonly [number, number];
}

/** Six hours by the level alone; what runs over the rim is gone. */
function played(plan: Plan) {
  const { every_s, share, fails_s = Number.POSITIVE_INFINITY, mended_s = Number.POSITIVE_INFINITY } = plan;
  const { hours = 6, twice = false, silent_s = [0, 0] } = plan;
  const readings: Reading[] = [];
  let [volume_m3, on, cameIn_m3] = [0.1 * area_m2, false, 0];
  for (let t = 0; t < hours * hour_s; t += 1) {
    const q = share(t / hour_s) * pump_m3s;
    cameIn_m3 += q;
    volume_m3 = Math.min(room_m3, volume_m3 + q - (on && !(t >= fails_s && t < mended_s) ? pump_m3s : 0));
    if (volume_m3 >= 0.3 * area_m2) on = true;
    if (volume_m3 <= 0.3 * area_m2 - active_m3) on = false;
    if (t % every_s !== 0) continue;
    const level_m = t > silent_s[0] && t < silent_s[1] ? null : volume_m3 / area_m2;
    const now = reading(startTime_s + t, { level_m, temperature_c: 10 });
    readings.push(...(twice ? [now, now] : [now]));
  }
  const { summary, said, figures } = analyse(siteWithCurve(1.2 * pump_m3s), readings);
  const kinds = said.findings.filter(({ change }) => change === "began").map(({ finding }) => finding.kind);
  const mean_lpm = (cameIn_m3 / (hours * hour_s)) * 60_000;
  return { mean: (summary.inflow.mean_lpm ?? 0) / mean_lpm, kinds, pumpRate_m3s: figures.pumpRate?.flow_m3s ?? 0 };
}

const swell = (most: number) => (hours: number) => 0.04 + (most - 0.04) * Math.sin((Math.PI * hours) / 6) ** 2;
/** Up to a little more than the pump moves and back, all of which the basin holds. */
const cloudburst = (hours: number) => 0.04 + 1.02 * Math.exp(-(((hours - 3) / 0.7) ** 2));

describe.each([30, 60])("a storm of nine tenths of the pump, by the level alone read every %i s", (every_s) => {
  it("tells a pump too small for it, though no run is measured, and about what the pump moves", () => {
    const { kinds, pumpRate_m3s } = played({ every_s, share: swell(0.9) });
    expect(kinds).toContain("undersized");
    expect(pumpRate_m3s / pump_m3s).toBeCloseTo(1, 1);
  });
});

describe.each([10, 30, 60])("a cloudburst that the basin takes up, by the level alone read every %i s", (every_s) => {
  it("counts water over where the pump starts as what the pump moves and what it rises, once that has come down", () => {
    const { mean, kinds } = played({ every_s, share: cloudburst });
    expect(Math.abs(mean - 1)).toBeLessThan(0.06);
    expect(kinds).toContain("inflow-exceeds-pump");
    expect(kinds).not.toContain("float-stuck-off");
  });
});

describe.each([30, 60])("a pump that stands while much comes in, by the level alone read every %i s", (every_s) => {
  it("is not taken for one that is overwhelmed", () => {
    const { mean, kinds } = played({ every_s, share: () => 0.35, fails_s: 4 * hour_s });
    expect(kinds).not.toContain("inflow-exceeds-pump");
    expect(mean).toBeLessThan(1.05);
  });
});

describe.each([10, 30, 60])("water over where the pump starts, by the level alone read every %i s", (every_s) => {
  it("is no storm any longer once the pump may stand: of a pump that stood for hours the mean came out nine times too high", () => {
    const { mean } = played({ every_s, share: cloudburst, fails_s: 3 * hour_s, mended_s: 9 * hour_s, hours: 10 });
    expect(mean).toBeLessThan(1.1);
  });

  it("is not told where nothing tells the level: through five hours without one, the mean came out four times too high", () => {
    const { mean } = played({ every_s, share: cloudburst, silent_s: [3.05 * hour_s, 8 * hour_s], hours: 10 });
    expect(mean).toBeLessThan(1.1);
  });
});

describe("water over where the pump starts, each reading given twice", () => {
  it("is told by the one of the two: the mean was no number", () => {
    expect(played({ every_s: 30, share: cloudburst, twice: true }).mean).toBeGreaterThan(0);
  });
});

describe("cycles of a twentieth of what the pump moves, by the level alone read every 60 s", () => {
  it("do not tell what it moves: it came out a third too low, and was called sure", () => {
    expect(played({ every_s: 60, share: () => 0.05 }).pumpRate_m3s).toBe(0);
  });
});

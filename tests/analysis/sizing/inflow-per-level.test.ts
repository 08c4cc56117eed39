import { describe, expect, it } from "vitest";
import { inflowPerLevel } from "../../../analysis/sizing/inflow-per-level.ts";

/** Rests of ten minutes from 0.15 to 0.35 m, in parts of 30 s; runs of twenty seconds. */
function learned(flow: (time_s: number, level_m: number) => number, rests = 40) {
  const learner = inflowPerLevel();
  for (let i = 0; i < rests; i++) {
    const stopped_s = 620 * i;
    for (let part = 0; part < 20; part++) {
      const from_s = stopped_s + 30 * part;
      const inflow_m3s = flow(from_s + 15, 0.15 + (0.2 * (part + 0.5)) / 20);
      learner.inflow({ from_s, to_s: from_s + 30, inflow_m3s, uInflow_m3s: 1e-6 });
    }
    learner.cycle({
      startedAt_s: stopped_s + 600,
      stoppedAt_s: stopped_s + 620,
      run_s: 20,
      rest_s: i === 0 ? null : 600,
      startLevel_m: 0.35,
      stopLevel_m: 0.15,
      inflow: null,
      pumpRate: null,
      drainBack_m3: null,
    });
  }
  return learner.result();
}

describe("how the inflow goes with the level", () => {
  it("is learned as the share that a metre of water holds back", () => {
    // q = 1e-4·(1 − 2·(h − 0.25)): 2 per metre of the mean flow.
    expect(learned((_, level_m) => 1e-4 * (1 - 2 * (level_m - 0.25)))?.share_1m).toBeCloseTo(-2, 6);
  });

  it("is nothing where inflow fades with the weather alone", () => {
    const fading = learned((time_s) => 1e-4 * Math.exp(-time_s / 20_000));
    expect(Math.abs(fading?.share_1m ?? 1)).toBeLessThan(fading?.uShare_1m ?? 0);
  });

  it("is not known from a few rests", () => {
    expect(learned(() => 1e-4, 20)).toBeNull();
  });
});

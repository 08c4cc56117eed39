import { describe, expect, it } from "vitest";
import { oneStuckOff } from "../../../analysis/findings/one-stuck-off.ts";
import { newTwoPumps } from "../../../analysis/findings/two-pumps.ts";
import { smallSite } from "../small-basin.ts";
import { cyclesLike, openSince, viewOf } from "./view.ts";

const pump = { curve: null, maxStartsPerHour: null, minRun_s: null };
/** The first starts at 0.3 m, the second at 0.4 m. */
const site = { ...smallSite, pump, pumps: [pump, { ...pump, startLevel_m: 0.4 }] as const };
const running = (set: 0 | 1 | 2 | 3) => ({ ...newTwoPumps(), set });
const runs = (pump1_s: number, startLevel_m: number, count: number) =>
  cyclesLike({ startLevel_m, pumps: { pump1_s, pump2_s: 20, both_s: 0, rateOf: 2 } }, count);

const holds = (change: Parameters<typeof viewOf>[0]) => oneStuckOff.holds(viewOf({ site, ...change }), null);

describe("one of two pumps that does not start", () => {
  it("is the first, after three runs of the second alone that began 20 mm over the first's start", () => {
    expect(holds({ pumps: running(0), recentCycles: runs(0, 0.4, 2) })).toBe(false);
    expect(holds({ pumps: running(0), recentCycles: runs(0, 0.4, 3) })).toBe(true);
    expect(holds({ pumps: running(0), recentCycles: runs(0, 0.319, 3) })).toBe(false);
    expect(holds({ pumps: running(0), recentCycles: [...runs(9, 0.4, 1), ...runs(0, 0.4, 2)] })).toBe(false);
  });

  it("is the second, when the water is 20 mm over its start and the first runs alone", () => {
    expect(holds({ pumps: running(1), pumpRunning: true, level_m: 0.419 })).toBe(false);
    expect(holds({ pumps: running(1), pumpRunning: true, level_m: 0.421 })).toBe(true);
    expect(holds({ pumps: running(3), pumpRunning: true, level_m: 0.5 })).toBe(false);
  });

  it("is not told without a supply, nor where there is one pump", () => {
    expect(holds({ pumps: running(0), mainsOn: false, recentCycles: runs(0, 0.4, 3) })).toBe(false);
    expect(holds({ recentCycles: runs(0, 0.4, 3) })).toBe(false);
  });

  it("ends once the first has run, and for the second once it runs or the water is down", () => {
    const open = (pump: 1 | 2) => ({ ...openSince(), evidence: { pump } });
    const still = viewOf({ site, pumps: running(2), recentCycles: runs(0, 0.31, 3) });
    expect(oneStuckOff.holds(still, open(1))).toBe(true);
    expect(oneStuckOff.holds({ ...still, pumps: running(1) }, open(1))).toBe(false);
    expect(oneStuckOff.holds({ ...still, recentCycles: runs(5, 0.31, 1) }, open(1))).toBe(false);
    const over = viewOf({ site, pumps: running(1), level_m: 0.401 });
    expect(oneStuckOff.holds(over, open(2))).toBe(true);
    expect(oneStuckOff.holds({ ...over, level_m: 0.399 }, open(2))).toBe(false);
    expect(oneStuckOff.holds({ ...over, pumps: running(3) }, open(2))).toBe(false);
  });

  it("names it", () => {
    const view = viewOf({ site, pumps: running(0), recentCycles: runs(0, 0.4, 3) });
    const evidence = oneStuckOff.evidence(view);
    expect(evidence).toMatchObject({ pump: 1, start_level_m: 0.3 });
    expect(oneStuckOff.message(view, evidence)).toContain("Pump 1 does not start");
  });
});

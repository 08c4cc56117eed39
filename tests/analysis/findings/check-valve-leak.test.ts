import { describe, expect, it } from "vitest";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import { checkValveLeak } from "../../../analysis/findings/check-valve-leak.ts";
import type { Site } from "../../../analysis/site.ts";
import { smallSite } from "../small-basin.ts";
import { cyclesLike, flow, openSince, viewOf } from "./view.ts";

const holds = (change: Parameters<typeof viewOf>[0]) => checkValveLeak.holds(viewOf(change), null);

describe("check-valve-leak", () => {
  it("is true when four of the last five stops let more than two litres back", () => {
    const leaking = cyclesLike({ drainBack_m3: 0.0021 }, 4);
    expect(holds({ recentCycles: [...leaking, ...cyclesLike({}, 4)] })).toBe(true);
    expect(holds({ recentCycles: [...leaking.slice(1), ...cyclesLike({}, 5)] })).toBe(false);
    expect(holds({ recentCycles: cyclesLike({ drainBack_m3: 0.0019 }) })).toBe(false);
  });

  it("stays open until no more than one of five stops lets so much back", () => {
    const leaky = (leaks: number) =>
      viewOf({ recentCycles: [...cyclesLike({ drainBack_m3: 0.0021 }, leaks), ...cyclesLike({}, 5)] });
    expect(checkValveLeak.holds(leaky(2), openSince())).toBe(true);
    expect(checkValveLeak.holds(leaky(2), null)).toBe(false);
    expect(checkValveLeak.holds(leaky(1), openSince())).toBe(false);
  });

  it("ends, where no reading can show that nothing comes back, when eight rests have shown their rise and none of it", () => {
    const inflow = { ...flow(1e-4), method: "fill-slope" } as const;
    const none = (rests: number, more: Partial<Cycle> = {}) =>
      viewOf({
        readEvery_s: 5,
        pumpRunning: true,
        recentCycles: [
          ...cyclesLike({ drainBack_m3: null, inflow, ...more }, rests),
          ...cyclesLike({ drainBack_m3: 0.004, inflow }, 8 - rests),
        ],
      });
    expect(checkValveLeak.holds(none(8), openSince())).toBe(false);
    expect(checkValveLeak.holds(none(7), openSince())).toBeNull();
    expect(checkValveLeak.holds(none(8), null)).toBeNull();
    // While the pump rests, nobody knows yet what has come back after the latest run.
    expect(checkValveLeak.holds({ ...none(8), pumpRunning: false }, openSince())).toBeNull();
    // Rests that show no rise say nothing of the valve.
    expect(checkValveLeak.holds(none(8, { inflow: null }), openSince())).toBeNull();
    // Read closely, it is not known what rests hide that show nothing, not even that nothing comes back.
    expect(checkValveLeak.holds({ ...none(8), readEvery_s: 2 }, openSince())).toBeNull();
  });

  it("allows a large pump a twentieth of what a run moves", () => {
    // 60 s at 66 L/min are 66 L: 3.3 L may come back.
    expect(holds({ recentCycles: cyclesLike({ run_s: 60, drainBack_m3: 0.0032 }) })).toBe(false);
    expect(holds({ recentCycles: cyclesLike({ run_s: 60, drainBack_m3: 0.0034 }) })).toBe(true);
    expect(holds({ recentCycles: cyclesLike({ run_s: 60, drainBack_m3: 0.0034, pumpRate: flow(2.2e-3) }) })).toBe(
      false,
    );
  });

  it("asks for less of a pipe that is known to hold little", () => {
    // 3 m of 41 mm bore hold 3.96 L, two fifths of that are 1.58 L; of 1 m it is what any valve may let back: 1.2 L.
    const pipe = (length_m: number): Site => ({
      ...smallSite,
      discharge: {
        highPoint_m: 3,
        pipe: { material: "pvc-40", nominal_m: null, insideDiameter_m: 0.041, length_m },
        fittings: [],
      },
    });
    const back = (drainBack_m3: number, length_m: number) =>
      holds({ recentCycles: cyclesLike({ drainBack_m3 }), site: pipe(length_m) });
    expect(back(0.00157, 3)).toBe(false);
    expect(back(0.0016, 3)).toBe(true);
    expect(back(0.00119, 1)).toBe(false);
    expect(back(0.00121, 1)).toBe(true);
    // A long pipe changes nothing.
    expect(back(0.0019, 20)).toBe(false);
    // It cannot give back more than it holds: 1.5 times 1.32 L are 1.98 L.
    expect(back(0.00197, 1)).toBe(true);
    expect(back(0.00199, 1)).toBeNull();
    expect(checkValveLeak.evidence(viewOf({ site: pipe(3) })).pipe_m3).toBeCloseTo(0.00396, 5);
  });

  it("is not judged by a level that is not trusted", () => {
    expect(holds({ recentCycles: cyclesLike({ drainBack_m3: 0.01 }), levelProblem: "implausible" })).toBeNull();
  });

  it("cannot be told from fewer than five stops whose returned water is known", () => {
    expect(holds({ recentCycles: cyclesLike({ drainBack_m3: 0.01 }, 4) })).toBeNull();
    expect(holds({ recentCycles: cyclesLike({ drainBack_m3: null }) })).toBeNull();
    expect(
      holds({ recentCycles: [...cyclesLike({ drainBack_m3: null }, 1), ...cyclesLike({ drainBack_m3: 0.01 }, 5)] }),
    ).toBe(true);
  });

  it("is not told while the inflow falls away from rest to rest, which bends the rise of the level alike", () => {
    // By 0.4 L/min a rest of 10 minutes: 2 L less in each, of 4 L that seem to come back.
    const falling = Array.from({ length: 5 }, (_, i) => ({
      ...cyclesLike({ drainBack_m3: 0.004, rest_s: 600 }, 1)[0],
      inflow: { ...flow((2 + 0.4 * i) / 60_000), method: "fill-slope" as const },
    })) as Cycle[];
    expect(checkValveLeak.holds(viewOf({ recentCycles: falling }), null)).toBeNull();
    expect(checkValveLeak.holds(viewOf({ recentCycles: falling }), openSince())).toBe(true);
    expect(checkValveLeak.holds(viewOf({ recentCycles: falling.toReversed() }), null)).toBe(true);
  });

  it("asks for twice as much where readings are far apart", () => {
    const back = (drainBack_m3: number) => ({ recentCycles: cyclesLike({ drainBack_m3 }), closelyRead: false });
    expect(holds(back(0.0039))).toBe(false);
    expect(holds(back(0.0041))).toBe(true);
  });

  it("asks for half as much again where they are so far apart that only many stops together tell", () => {
    const back = (drainBack_m3: number) => ({
      recentCycles: cyclesLike({ drainBack_m3 }),
      closelyRead: false,
      readEvery_s: 30,
    });
    expect(holds(back(0.0029))).toBe(false);
    expect(holds(back(0.0031))).toBe(true);
  });
});

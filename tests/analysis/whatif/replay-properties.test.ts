// What holds for a replay of any inflow against any installation: nothing is lost, nothing leaves its bounds, and it ends.

import { describe, expect, it } from "vitest";
import type { InflowStretch } from "../../../analysis/analyzer.ts";
import type { BasinShape } from "../../../analysis/site.ts";
import type { ReplayInstallation, ReplayPump } from "../../../analysis/whatif/installation.ts";
import { replayInflow } from "../../../analysis/whatif/replay.ts";
import * as fc from "../../at-random.ts";

const among = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const often = <T>(usual: T, other: fc.Arbitrary<T>) => fc.oneof(fc.constant(usual), other);

const inflow = fc
  .array(fc.tuple(among(0.5, 900), often(0, among(-1e-5, 4e-3)), often(0, among(0, 600))), {
    minLength: 1,
    maxLength: 60,
  })
  .map((pieces) => {
    let time_s = 1.7e9;
    return pieces.map(([length_s, inflow_m3s, gap_s]): InflowStretch => {
      const from_s = time_s + gap_s;
      time_s = from_s + length_s;
      return { from_s, to_s: time_s, inflow_m3s, uInflow_m3s: 1e-5 };
    });
  });

const basin: fc.Arbitrary<BasinShape> = fc.oneof(
  fc.constant<BasinShape>({ shape: "round", diameter_m: 0.45, occupiedArea_m2: 0.004 }),
  fc.constant<BasinShape>({
    shape: "table",
    rows: [
      { level_m: 0, volume_m3: 0 },
      { level_m: 0.25, volume_m3: 0.02 },
      { level_m: 0.333, volume_m3: 0.05 },
      { level_m: 0.9, volume_m3: 0.15 },
    ],
  }),
);

const pump = (supply: ReplayPump["supply"]) =>
  fc.tuple(among(0.05, 0.3), among(0.01, 0.3)).map(
    ([stopLevel_m, swing_m]): ReplayPump => ({
      name: null,
      stopLevel_m,
      startLevel_m: stopLevel_m + swing_m,
      supply,
      power_w: 400,
    }),
  );

const battery = fc
  .tuple(often(0, among(0, 2000)), often(0, among(0, 0.5)), often(0, among(0, 0.1)))
  .map(([runTime_s, regained_ss, idle_ss]) => ({ runTime_s, regained_ss, idle_ss, power_w: 300 }));

const installation: fc.Arbitrary<ReplayInstallation> = fc
  .record({
    basin,
    pumps: fc.oneof(
      pump("mains").map((one): readonly [ReplayPump] => [one]),
      fc.tuple(pump("mains"), pump("battery")),
      fc.tuple(pump("either"), pump("mains")),
    ),
    battery,
    takesTurns: fc.boolean(),
    returned: fc.record({ volume_m3: often(0, among(0, 0.02)), duration_s: among(0.2, 60) }),
    spinUp_s: often(0, among(0, 3)),
    groundHead: fc.oneof(fc.constant(null), fc.constant({ nothing_m: 0.55, recorded_m: 0.2 })),
    flow_m3s: among(1e-4, 3e-3),
    steepness: among(0, 2),
    rim: fc.boolean(),
  })
  .map(({ flow_m3s, steepness, rim, ...rest }) => ({
    ...rest,
    highLevel_m: 0.65,
    overflowLevel_m: rim ? 0.8 : null,
    flow_m3s: (runs, level_m) => runs.filter((feed) => feed !== null).length * flow_m3s * (1 + steepness * level_m),
  }));

const cuts = fc.array(
  fc.tuple(among(0, 20_000), often(0, among(0, 9000))).map(([at_s, lasts_s]) => ({
    from_s: 1.7e9 + at_s,
    to_s: 1.7e9 + at_s + lasts_s,
  })),
  { maxLength: 4 },
);

describe("replayInflow, whatever it is given", () => {
  it("keeps every litre, every second and every bound", () => {
    fc.assert(
      fc.property(inflow, installation, cuts, among(0, 0.7), (water, as, powerCuts, firstLevel_m) => {
        let [lowest_m, highest_m, before_s] = [firstLevel_m, firstLevel_m, Number.NEGATIVE_INFINITY];
        const played = replayInflow(water, as, {
          powerCuts,
          firstLevel_m,
          onPoint(time_s, level_m) {
            expect(time_s).toBeGreaterThanOrEqual(before_s);
            before_s = time_s;
            lowest_m = Math.min(lowest_m, level_m);
            highest_m = Math.max(highest_m, level_m);
          },
        });
        const length_s = water.reduce((sum, { from_s, to_s }) => sum + to_s - from_s, 0);
        expect(played.played_s).toBeCloseTo(length_s, 3);
        expect(lowest_m).toBeGreaterThanOrEqual(0);
        expect(highest_m).toBe(played.highestLevel_m);
        if (as.overflowLevel_m !== null) expect(highest_m).toBeLessThanOrEqual(as.overflowLevel_m);
        expect(played.pumped_m3).toBeGreaterThanOrEqual(-1e-9);
        expect(played.run_s).toBeLessThanOrEqual(played.played_s + 1e-6);
        expect(played.powerCut_s).toBeLessThanOrEqual(played.played_s + 1e-6);
        expect(played.overflow_s).toBeLessThanOrEqual(played.played_s + 1e-6);
        const [first] = played.pumps;
        if (as.pumps[0].supply === "mains") {
          expect(first?.run_s ?? 0).toBeLessThanOrEqual(played.played_s - played.powerCut_s + 1e-6);
        }
        expect(first?.mostStartsInAnHour ?? 0).toBeLessThanOrEqual(first?.starts ?? 0);
      }),
      { numRuns: 300 },
    );
  });
});

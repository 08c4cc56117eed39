// Two pumps without a level: their contacts alone tell, and what lies between the floats.

import { describe, expect, it } from "vitest";
import { analyse } from "../analysis/analyse.ts";
import { playTwoPumps, standbySite, type TwoPumps } from "./two-pump-basin.ts";

const lpm = 60_000;
const trips_m = [[0.3, 0.1] as const, [0.4, 0.1] as const] as const;

function playBlind(plan: Omit<TwoPumps, "trips_m">) {
  const { readings, truth } = playTwoPumps({ trips_m, ...plan });
  return {
    truth,
    ...analyse(
      standbySite,
      readings.map((each) => ({ ...each, level_m: null })),
    ),
  };
}

describe("two pumps that take turns, timed by contacts that are read seldom", () => {
  it.each([5, 8])(
    "have each its rate within 2 in 100, read each %d s: what looks short or long averages out",
    (sample_s) => {
      const flow_m3s = (pump: 1 | 2) => (pump === 1 ? 1.83e-3 : 1.43e-3);
      // Not in step with the readings.
      const inflow_m3s = (t: number) => 2e-4 * (1 + 0.1 * Math.sin(t / 3000));
      const { summary } = playBlind({ hours: 12, sample_s, inflow_m3s, flow_m3s, takeTurns: true });
      const [first, second] = summary.pumps ?? [];
      expect(Math.abs((first?.rate?.lpm ?? 0) / (1.83e-3 * lpm) - 1)).toBeLessThan(0.02);
      expect(Math.abs((second?.rate?.lpm ?? 0) / (1.43e-3 * lpm) - 1)).toBeLessThan(0.02);
    },
  );
});

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

describe("one of two pumps that is dead for hours, by the contacts alone", () => {
  const from_s = 14_400;
  const to_s = 36_000;
  const flow_m3s = (pump: 1 | 2) => (pump === 1 ? 1.5e-3 : 1.3e-3);
  const within = (share: number, lpm_: number | null | undefined, truth_m3s: number) =>
    expect(Math.abs((lpm_ ?? 0) / (truth_m3s * lpm) - 1)).toBeLessThan(share);

  it.each([
    ["the one on duty", 1, false],
    ["the first of two that take turns", 1, true],
    ["the second of two that take turns", 2, true],
  ] as const)(
    "is %s: what lies between the upper float's levels counts as such, and no other finding is told",
    (_, pump, takeTurns) => {
      const dead = (which: 1 | 2, after_s: number) => which === pump && after_s > from_s && after_s < to_s;
      const plan = { hours: 14, inflow_m3s: () => 2e-4, flow_m3s, takeTurns, dead };
      const { summary, truth } = playBlind(plan);
      within(0.02, summary.inflow.mean_lpm, 2e-4);
      within(0.03, summary.inflow.peak["3600"]?.lpm, 2e-4);
      expect(Math.abs((summary.totals.pumped_l ?? 0) / (1000 * truth.pumped_m3) - 1)).toBeLessThan(0.02);
      within(0.03, summary.pumps?.[0].rate?.lpm, flow_m3s(1));
      within(0.03, summary.pumps?.[1].rate?.lpm, flow_m3s(2));
      expect(summary.findings.map(({ kind, evidence }) => [kind, evidence.pump])).toEqual([["float-stuck-off", pump]]);
    },
  );
});

describe("two sound pumps that take turns, read so seldom that runs go by unseen", () => {
  it.each([30, 60])(
    "are not told to stand still, read each %d s: the same may be seen many times on end",
    (sample_s) => {
      const inflow_m3s = (t: number) => 4e-4 * (1 + 0.5 * Math.sin(t / 9000));
      const quick = (pump: 1 | 2) => (pump === 1 ? 2.2e-3 : 2e-3);
      const { summary, truth } = playBlind({ hours: 24, sample_s, inflow_m3s, flow_m3s: quick, takeTurns: true });
      const seen = summary.pumps?.reduce((sum, { starts }) => sum + (starts ?? 0), 0);
      expect(seen).toBeLessThan(0.9 * truth.starts);
      expect(summary.findings.map(({ kind }) => kind)).not.toContain("float-stuck-off");
    },
  );
});

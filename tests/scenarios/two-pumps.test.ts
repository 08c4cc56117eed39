import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../analysis/analyzer.ts";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { Site } from "../../analysis/site.ts";
import { reportInWords } from "../../daemon/report/report-in-words.ts";
import { analyse, finalCycles, listen } from "../analysis/analyse.ts";
import {
  area_m2,
  duty,
  flow_m3s,
  playTwoPumps,
  standbySite,
  type TwoPumps,
  together,
  twoPumpSite,
} from "./two-pump-basin.ts";

const lpm = 60_000;
const storm = (after_s: number) => (after_s > 7200 && after_s < 10_800 ? 1.8e-3 : 2e-4);

function play(plan: TwoPumps, site: Site = standbySite) {
  const { readings, truth } = playTwoPumps(plan);
  return { truth, ...analyse(site, readings) };
}

const within = (share: number, value: number | null | undefined, truth: number) => {
  expect(Math.abs((value ?? Number.NaN) / truth - 1)).toBeLessThan(share);
};

const kindsOf = ({ summary }: ReturnType<typeof play>) => summary.findings.map(({ kind }) => kind);

describe("a standby that helps in a storm and stops with the pump on duty", () => {
  const trips_m = [[0.3, 0.1] as const, [0.4, 0.1] as const] as const;
  const played = play({ hours: 6, inflow_m3s: storm, flow_m3s, together, trips_m });
  const { summary, truth, cycles } = played;

  it("has each pump's starts, exactly, and its time", () => {
    const [first, second] = summary.pumps ?? [];
    expect([first?.starts, second?.starts]).toEqual([truth.pumps[0].starts, truth.pumps[1].starts]);
    within(0.01, first?.run_s, truth.pumps[0].run_s);
    within(0.01, second?.run_s, truth.pumps[1].run_s);
    expect([first?.name, second?.name]).toEqual(["Main", "Standby"]);
    expect(summary.totals.starts).toBe(truth.starts);
  });

  it("knows within 2 % what the first moves alone and what both move, and claims nothing of the second alone", () => {
    const [first, second] = summary.pumps ?? [];
    within(0.02, first?.rate?.lpm, 90);
    expect(second?.rate).toBe(null);
    within(0.02, summary.sizing.both_capacity_lpm, 0.9 * (90 + 72));
  });

  it("counts on the first alone, and finds that too little for the storm", () => {
    const { firm_capacity_lpm, margin, verdict } = summary.sizing;
    within(0.02, firm_capacity_lpm, 90);
    within(0.03, margin, 90 / (1.8e-3 * lpm));
    expect(verdict).toBe("undersized");
  });

  it("takes no help from the standby for an inflow that exceeds the pumps", () => {
    expect(kindsOf(played)).toEqual(["undersized"]);
  });

  it("measures the storm and the water moved through the changes of the pumps", () => {
    within(0.03, summary.inflow.peak["600"]?.lpm, truth.peak600_m3s * lpm);
    within(0.02, summary.totals.pumped_l, truth.pumped_m3 * 1000);
  });

  it("says of each run who ran for how long, and whose the rate is", () => {
    const inStorm = cycles.filter(({ pumps }) => (pumps?.both_s ?? 0) > 0);
    expect(inStorm.length).toBe(truth.pumps[1].starts);
    for (const { pumps, run_s } of inStorm) {
      expect(pumps?.pump1_s).toBeCloseTo(run_s, 6);
      expect(pumps?.both_s).toBe(pumps?.pump2_s);
    }
    // But for the runs in which the storm breaks and ends.
    for (const { pumps, pumpRate } of inStorm.slice(1, -1)) {
      expect(pumps?.rateOf).toBe("both");
      within(0.05, pumpRate?.flow_m3s, 0.9 * (1.5e-3 + 1.2e-3));
    }
    expect(cycles.filter(({ pumps }) => pumps?.pump2_s === 0).every(({ pumps }) => pumps?.rateOf !== 2)).toBe(true);
  });
});

describe("a standby that stops before the pump on duty, in a storm that is one long run", () => {
  const trips_m = [[0.3, 0.1] as const, [0.4, 0.2] as const] as const;
  const played = play({ hours: 6, inflow_m3s: storm, flow_m3s, together, trips_m });
  const { summary, truth } = played;

  it("is no inflow that exceeds the pumps: the water rises until the standby joins in, and then falls", () => {
    expect(kindsOf(played)).toEqual(["undersized"]);
  });

  it("knows both from the changes within the run, and what came in all along", () => {
    within(0.02, summary.sizing.both_capacity_lpm, 0.9 * (90 + 72 + 2 * 2e-4 * 0.1 * lpm));
    within(0.03, summary.inflow.peak["600"]?.lpm, truth.peak600_m3s * lpm);
    within(0.03, summary.inflow.peak["3600"]?.lpm, 1.8e-3 * lpm);
    expect(summary.pumps?.[1].starts).toBe(truth.pumps[1].starts);
  });
});

describe("a storm in which both run for the first time", () => {
  const meanOf = ({ truth }: ReturnType<typeof play>, hours: number) => (truth.inflow_m3 / (hours * 3600)) * lpm;

  it("is followed through the run by what that very run shows of them", () => {
    const trips_m = [[0.3, 0.1] as const, [0.4, 0.1] as const] as const;
    const inflow_m3s = (t: number) => (t > 7200 && t < 7650 ? 2.3e-3 : 2e-4);
    const played = play({ hours: 4, inflow_m3s, flow_m3s, together, trips_m });
    expect(played.truth.pumps[1].starts).toBe(2);
    within(0.07, played.summary.inflow.mean_lpm, meanOf(played, 4));
    within(0.07, played.summary.totals.pumped_l, played.truth.pumped_m3 * 1000);
  });

  it("is followed, too, while the standby runs on where the pump on duty has stopped, which shows what that moves alone", () => {
    const trips_m = [[0.3, 0.12] as const, [0.4, 0.1] as const] as const;
    const inflow_m3s = (t: number) => (t > 7200 && t < 10_000 ? 1.6e-3 : 2e-4);
    const played = play({ hours: 6, inflow_m3s, flow_m3s, together, trips_m });
    const { inflow, totals, pumps } = played.summary;
    within(0.01, inflow.mean_lpm, meanOf(played, 6));
    within(0.02, inflow.peak["600"]?.lpm, played.truth.peak600_m3s * lpm);
    within(0.02, totals.pumped_l, played.truth.pumped_m3 * 1000);
    within(0.02, pumps?.[1].rate?.lpm, 72);
    expect(kindsOf(played)).toEqual(["undersized"]);
  });
});

describe("a storm of which not all is known", () => {
  it("has its peak within its ±, where it comes and goes while one pump runs whose rate nothing tells", () => {
    // Five minutes that need both; then the standby, whose float opens lower, runs by itself for the first time.
    const wave = (t: number) => 1.2e-3 + 2.5e-4 * Math.sin((2 * Math.PI * (t - 7500)) / 3600);
    const hump = (t: number) => (t < 7200 || t > 11_100 ? 2e-4 : t < 7500 ? 2e-3 : wave(t));
    const basin = { ...standbySite.basin, startLevel_m: 0.5, highLevel_m: 0.8, depth_m: 1.2, overflowLevel_m: 1.2 };
    const high: Site = { ...standbySite, basin, pumps: [duty, { ...duty, startLevel_m: 0.7 }] };
    const floats_m = [[0.5, 0.12] as const, [0.7, 0.1] as const] as const;
    const { summary, truth } = play({ hours: 5, inflow_m3s: hump, flow_m3s, together, trips_m: floats_m }, high);
    const { lpm: found = Number.NaN, u95_lpm = 0 } = summary.inflow.peak["600"] ?? {};
    expect(Math.abs(found - truth.peak600_m3s * lpm)).toBeLessThan(u95_lpm);
  });

  it("makes the mean the least where by the contacts alone nothing shows what came in over a long run of both", () => {
    const trips_m = [[0.3, 0.12] as const, [0.4, 0.1] as const] as const;
    const storm_m3s = (t: number) => (t > 7200 && t < 10_800 ? 1.6e-3 : 2e-4);
    const { readings } = playTwoPumps({ hours: 6, inflow_m3s: storm_m3s, flow_m3s, together, trips_m });
    const { inflow } = analyse(
      standbySite,
      readings.map((each) => ({ ...each, level_m: null })),
    ).summary;
    expect([inflow.mean_at_least, inflow.peak["600"]?.at_least]).toEqual([true, true]);
  });
});

describe("a standby left to run where the pump on duty has stopped", () => {
  it("is no inflow that exceeds the pumps while the water comes up to where that starts again", () => {
    const trips_m = [[0.3, 0.12] as const, [0.4, 0.1] as const] as const;
    const alike = () => 1.5e-3;
    // Up within 20 min, and down again after 40.
    const inflow_m3s = (t: number) =>
      2e-4 + 1.4e-3 * Math.min(1, Math.max(0, (t - 7200) / 1200, 0), Math.max(0, 5 - t / 2400));
    expect(kindsOf(play({ hours: 4, inflow_m3s, flow_m3s: alike, together, trips_m }))).toEqual(["undersized"]);
  });
});

describe("two pumps that take turns", () => {
  const trips_m = [[0.3, 0.1] as const, [0.5, 0.3] as const] as const;
  const plan: TwoPumps = { hours: 6, inflow_m3s: () => 2e-4, flow_m3s, trips_m, takeTurns: true };

  it("have each its own starts and rate, within 2 %, and count by the weaker", () => {
    const { summary, truth } = play(plan);
    const [first, second] = summary.pumps ?? [];
    expect([first?.starts, second?.starts]).toEqual([truth.pumps[0].starts, truth.pumps[1].starts]);
    within(0.02, first?.rate?.lpm, 90);
    within(0.02, second?.rate?.lpm, 72);
    within(0.02, summary.sizing.firm_capacity_lpm, 72);
    expect(summary.sizing.both_capacity_lpm).toBe(null);
    expect(summary.findings).toEqual([]);
  });

  it("are each held against their own limit of starts", () => {
    // 26 starts in an hour, 13 of each: the first may start 20 times, the second 10.
    const { summary } = play(plan, twoPumpSite);
    expect(summary.findings.map(({ kind, evidence }) => [kind, evidence.pump, evidence.max_starts_per_hour])).toEqual([
      ["short-cycling", 2, 10],
    ]);
  });

  it("raise nothing when one moves far less than the other, and always has", () => {
    const unequal = (pump: 1 | 2) => (pump === 1 ? 1.5e-3 : 6e-4);
    const { summary } = play({ ...plan, flow_m3s: unequal });
    expect(summary.findings).toEqual([]);
    within(0.02, summary.pumps?.[1].rate?.lpm, 36);
  });

  it("tell which of them has worn", () => {
    const worn = (pump: 1 | 2, after_s: number) =>
      pump === 1 ? 1.5e-3 : 1.2e-3 * (1 - 0.2 * Math.min(1, Math.max(0, after_s / 43_200 - 1)));
    const { summary } = play({ ...plan, hours: 28, flow_m3s: worn });
    expect(summary.findings.map(({ kind, evidence }) => [kind, evidence.pump])).toEqual([["pump-worn", 2]]);
  });

  it("tell which of them is blocked, in one finding", () => {
    const blocked = (pump: 1 | 2, after_s: number) => (pump === 1 ? 1.5e-3 : after_s > 36_000 ? 6e-4 : 1.2e-3);
    const { summary } = play({ ...plan, hours: 14, flow_m3s: blocked });
    expect(summary.findings.map(({ kind, evidence }) => [kind, evidence.pump])).toEqual([["discharge-blocked", 2]]);
  });
});

describe("two pumps that always run at once", () => {
  const trips_m = [[0.3, 0.1] as const, [0.3, 0.1] as const] as const;
  const { summary, truth, cycles } = play({ hours: 6, inflow_m3s: () => 3e-4, flow_m3s, together, trips_m });

  it("have one rate together, within 2 %, and none by themselves", () => {
    expect(summary.pumps?.map(({ starts, rate }) => [starts, rate])).toEqual([
      [truth.pumps[0].starts, null],
      [truth.pumps[1].starts, null],
    ]);
    within(0.02, summary.sizing.both_capacity_lpm, 0.9 * (90 + 72));
    const known = cycles.filter(({ pumpRate }) => pumpRate !== null);
    expect(known.length).toBeGreaterThan(0.95 * cycles.length);
    expect(known.every(({ pumps }) => pumps?.rateOf === "both")).toBe(true);
  });
});

describe("a snapshot taken in the midst of a run of two pumps", () => {
  it("carries on as if the analysis had never stopped", () => {
    const trips_m = [[0.3, 0.1] as const, [0.4, 0.2] as const] as const;
    const { readings } = playTwoPumps({ hours: 1, inflow_m3s: () => 1.8e-3, flow_m3s, together, trips_m });
    const straight = analyse(standbySite, readings);
    // With one, with both, and just after a change that has not counted yet.
    for (const at of [200, 1000, 1801, 1802, 2400, 3000]) {
      const { said, options } = listen();
      const first = createAnalyzer(standbySite, options);
      for (const each of readings.slice(0, at)) first.push(each);
      const second = createAnalyzer(standbySite, { ...options, resume: structuredClone(first.snapshot()) });
      for (const each of readings.slice(at)) second.push(each);
      second.finish();
      expect(finalCycles(said)).toEqual(straight.cycles);
      expect(said.inflow).toEqual(straight.said.inflow);
      expect(second.summary()).toEqual(straight.summary);
    }
  });
});

describe("a standby that never runs", () => {
  it("leaves a storm read each minute to be followed as that of one pump", () => {
    const trips_m = [[0.3, 0.1] as const, [0.7, 0.1] as const] as const;
    const wave = (t: number) => 2e-4 + 4e-4 * Math.max(0, Math.sin((Math.PI * (t - 21_600)) / 21_600));
    const played = play({ hours: 16, inflow_m3s: wave, flow_m3s, trips_m, sample_s: 60 });
    within(0.03, played.summary.inflow.mean_lpm, (played.truth.inflow_m3 / (16 * 3600)) * lpm);
    within(0.06, played.summary.inflow.peak["3600"]?.lpm, 6e-4 * lpm);
  });

  it("changes not a digit of what is said of the pump on duty", () => {
    const trips_m = [[0.3, 0.1] as const, [0.7, 0.1] as const] as const;
    const { readings } = playTwoPumps({ hours: 6, inflow_m3s: () => 2e-4, flow_m3s, trips_m });
    const alone = analyse(
      standbySite,
      readings.map((reading) => ({ ...reading, pump2On: null })),
    );
    const both = analyse(standbySite, readings);
    const bare = (cycle: Cycle) => ({ ...cycle, pumps: null });
    expect(both.cycles.map(bare)).toEqual(alone.cycles.map(bare));
    expect(both.summary.inflow).toEqual(alone.summary.inflow);
    expect(both.summary.totals).toEqual(alone.summary.totals);
    expect(both.summary.pumps?.[1]).toEqual({
      ...{ name: "Standby", starts: 0, run_s: 0, most_starts_in_an_hour: 0, rate: null },
    });
    expect(alone.summary.pumps?.[1].starts).toBe(null);
  });
});

describe("a pump on duty that does not start", () => {
  it("is told, by name of its number, though the standby does its work", () => {
    const { summary } = play({
      hours: 6,
      inflow_m3s: storm,
      flow_m3s,
      trips_m: [[5, 4.9] as const, [0.4, 0.2] as const] as const,
    });
    const told = summary.findings.filter(({ kind, evidence }) => kind === "float-stuck-off" && evidence.pump === 1);
    expect(told.map(({ to }) => to)).toEqual([null]);
    expect(summary.findings.filter(({ kind }) => kind === "float-stuck-off").length).toBe(1);
    expect(told[0]?.message).toContain("Pump 1 does not start");
  });
});

describe("two pumps that take turns, of which a signal tells of one", () => {
  const trips_m = [[0.3, 0.1] as const, [0.45, 0.1] as const] as const;
  const plan = { hours: 1, inflow_m3s: () => 5e-4, flow_m3s, together, trips_m, takeTurns: true };
  const { readings, truth } = playTwoPumps(plan);
  const { summary } = analyse(
    twoPumpSite,
    readings.map((reading) => ({ ...reading, pump2On: null })),
  );

  it("counts the runs of the other, and what they moved", () => {
    const { starts, unwatched_runs, pumped_l } = summary.totals;
    expect([starts, unwatched_runs]).toEqual(truth.pumps.map((pump) => pump.starts));
    within(0.02, pumped_l, truth.pumped_m3 * 1000);
  });

  it("says so to a person", () => {
    const [first, second] = truth.pumps;
    const words = reportInWords(summary, twoPumpSite, null).replace(/\s+/g, " ");
    expect(words).toContain(`${first.starts} starts, `);
    expect(words).toContain(`the water was drawn down ${second.starts} times while the pump was said to rest`);
  });

  it("says nothing of it where both are watched", () => {
    expect(analyse(twoPumpSite, readings).summary.totals.unwatched_runs).toBeUndefined();
  });
});

describe("a second pump that helps the first in a storm, and that no signal tells of", () => {
  const trips_m = [[0.3, 0.1] as const, [0.4, 0.2] as const] as const;
  const inflowOf = (storm_m3s: number, every_s: number, heard: boolean) => {
    const inflow_m3s = (t: number) => (t > 1800 && t < 3600 ? storm_m3s : 2e-4);
    const { readings } = playTwoPumps({ hours: 1.2, inflow_m3s, flow_m3s, trips_m, sample_s: every_s });
    return analyse(standbySite, heard ? readings : readings.map((reading) => ({ ...reading, pump2On: null }))).summary
      .inflow;
  };

  it.each([5, 10])("leaves what came in the least that it can have been, read each %i s", (every_s) => {
    const { mean_at_least, peak } = inflowOf(1.8e-3, every_s, false);
    expect([mean_at_least, peak[60]?.at_least, peak[600]?.at_least]).toEqual([true, true, true]);
  });

  it("does so, too, once the contact of the first is known to be dead, for then the level alone tells of both", () => {
    // So little over the first that the water does not stand over that for long, as if no pump ran.
    const near: Site = { ...standbySite, pumps: [duty, { ...duty, startLevel_m: 0.34 }] };
    const trips = [[0.3, 0.1] as const, [0.34, 0.1] as const] as const;
    const inflow_m3s = (t: number) => (t > 14_400 && t < 16_200 ? 1.8e-3 : 2e-4);
    const { readings } = playTwoPumps({ hours: 5, inflow_m3s, flow_m3s, trips_m: trips, sample_s: 5 });
    const said = (dead: boolean) =>
      analyse(near, dead ? readings.map((each) => ({ ...each, pumpOn: false })) : readings).summary.inflow;
    expect(said(true).mean_at_least).toBe(true);
    expect(said(false).mean_at_least).toBeUndefined();
  });

  it("leaves minute and ten minutes the least, too, where it helps for five minutes, and tells of no worn or blocked pump", () => {
    const inflow_m3s = (t: number) => (t > 7200 && t < 7500 ? 1.8e-3 : 2e-4);
    const { readings } = playTwoPumps({ hours: 6, inflow_m3s, flow_m3s, trips_m, sample_s: 1 });
    const { inflow, findings } = analyse(
      standbySite,
      readings.map((each) => ({ ...each, pump2On: null })),
    ).summary;
    expect([inflow.peak[60]?.at_least, inflow.peak[600]?.at_least]).toEqual([true, true]);
    expect(findings.map(({ kind }) => kind)).not.toContain("discharge-blocked");
  });

  it.each([
    ["the rise until a start is seen, read each 10 s,", 5, 10, 0.3],
    ["a float that trips 30 mm over what is stated", 1, 1, 0.33],
  ])("takes %s for no water that it was needed for", (_, rise_mms, sample_s, start_m) => {
    const near: Site = { ...standbySite, pumps: [duty, { ...duty, startLevel_m: 0.35 }] };
    const inflow_m3s = () => (rise_mms / 1000) * area_m2;
    const trips = [[start_m, 0.1] as const, [0.5, 0.1] as const] as const;
    const { readings } = playTwoPumps({ hours: 12, inflow_m3s, flow_m3s, trips_m: trips, sample_s });
    const { mean_at_least } = analyse(
      near,
      readings.map((each) => ({ ...each, pump2On: null })),
    ).summary.inflow;
    expect(mean_at_least).toBeUndefined();
  });

  it("leaves nothing open while it is heard, or the water stays far below where it starts", () => {
    expect(inflowOf(1.8e-3, 1, true).mean_at_least).toBeUndefined();
    expect(inflowOf(9e-4, 1, false).mean_at_least).toBeUndefined();
  });
});

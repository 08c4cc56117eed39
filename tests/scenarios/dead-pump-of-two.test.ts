import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../analysis/analyzer.ts";
import type { AnalyzerState } from "../../analysis/analyzer-state.ts";
import type { Reading } from "../../analysis/readings/reading.ts";
import type { Site } from "../../analysis/site.ts";
import { analyse } from "../analysis/analyse.ts";
import { flow_m3s, playTwoPumps, standbySite, type TwoPumps, together } from "./two-pump-basin.ts";

function play(plan: TwoPumps, site: Site = standbySite) {
  return analyse(site, playTwoPumps(plan).readings);
}

describe("the sensors of a basin with two pumps", () => {
  const trips_m = [[0.3, 0.1] as const, [0.4, 0.1] as const] as const;
  const plan: TwoPumps = { hours: 8, inflow_m3s: () => 2e-4, flow_m3s, together, trips_m, takeTurns: true };
  const faultsOf = (of: TwoPumps, change: (reading: Reading, after_s: number) => Partial<Reading>) => {
    const { readings } = playTwoPumps(of);
    const first_s = readings[0]?.time_s ?? 0;
    const changed = readings.map((each) => ({ ...each, ...change(each, each.time_s - first_s) }));
    return analyse(standbySite, changed).summary.findings.filter(({ kind }) => kind === "sensor-fault");
  };

  it("are told of a second contact that stays on from a storm, once that must be over", () => {
    const storm = { ...plan, inflow_m3s: (t: number) => (t > 6000 && t < 9000 ? 9e-4 : 2e-4) };
    const [fault] = faultsOf(storm, (_, after_s) => (after_s > 7200 ? { pump2On: true } : {}));
    expect(fault?.evidence).toMatchObject({ channel: "pump2_on", problem: "frozen" });
  });

  it.each([true, false])("are told of a zero that was set anew, whether they take turns (%s)", (takeTurns) => {
    const [fault] = faultsOf({ ...plan, takeTurns }, ({ level_m }, after_s) => ({
      level_m: (level_m ?? 0) + (after_s > 14_400 ? 0.06 : 0),
    }));
    expect(fault?.evidence).toMatchObject({ channel: "level", problem: "re-zeroed" });
  });
});

describe("one of two pumps that is dead for hours", () => {
  const from_s = 7200;
  const to_s = 18_000;
  const dead = (which: 1 | 2) => (pump: 1 | 2, after_s: number) => pump === which && after_s > from_s && after_s < to_s;
  const findingsOf = ({ summary }: ReturnType<typeof play>) =>
    summary.findings.filter(({ kind }) => kind === "float-stuck-off");
  const first_s = Date.parse("2026-03-02T00:00:00Z");
  const after_s = (time: string | null) => (time === null ? Number.NaN : (Date.parse(time) - first_s) / 1000);
  const lasting = (played: ReturnType<typeof play>) =>
    findingsOf(played)
      .filter(({ evidence }) => evidence.pump !== undefined)
      .map(({ from, to, evidence }) => ({ pump: evidence.pump, from_s: after_s(from), to_s: after_s(to) }));

  it.each([1, 2] as const)("is told at its first turn, pump %d, once, and until it has run again", (pump) => {
    const site: Site = { ...standbySite, basin: { ...standbySite.basin, highLevel_m: 0.6 } };
    const trips_m = [[0.3, 0.1] as const, [0.4, 0.1] as const] as const;
    const plan = { hours: 8, inflow_m3s: () => 2e-4, flow_m3s, trips_m, takeTurns: true, dead: dead(pump) };
    const played = play(plan, site);
    const [finding, ...others] = lasting(played);
    expect(others).toEqual([]);
    expect(findingsOf(played).length).toBe(1);
    expect(finding?.pump).toBe(pump);
    expect(finding?.from_s).toBeLessThan(from_s + 900);
    expect(finding?.to_s).toBeGreaterThan(to_s);
    expect(finding?.to_s).toBeLessThan(to_s + 3600);
  });

  it.each([
    ["takes turns", true, 2],
    ["is first on duty", false, 1],
  ] as const)(
    "is told without a level, too, where it %s, by the runs that the other had in its place",
    (_, takeTurns, pump) => {
      const trips_m = [[0.3, 0.1] as const, [0.4, 0.1] as const] as const;
      const blind = (plan: TwoPumps) =>
        analyse(
          standbySite,
          playTwoPumps(plan).readings.map((each) => ({ ...each, level_m: null })),
        ).summary.findings.filter(({ kind }) => kind === "float-stuck-off");
      const sound: TwoPumps = { hours: 8, inflow_m3s: () => 3e-4, flow_m3s, trips_m, takeTurns };
      const [finding, ...others] = blind({ ...sound, dead: dead(pump) });
      expect(others).toEqual([]);
      expect(finding?.evidence.pump).toBe(pump);
      expect(after_s(finding?.to ?? null)).toBeGreaterThan(to_s);
      expect(blind(sound)).toEqual([]);
    },
  );

  it("tells of no pump that a timer rests for the night", () => {
    const trips_m = [[0.3, 0.1] as const, [0.4, 0.1] as const] as const;
    const byTheHour = { hours: 24, inflow_m3s: () => 3e-4, flow_m3s, trips_m, takeTurns: true };
    const { readings } = playTwoPumps(byTheHour);
    // Whichever ran, the contact of the one whose six hours these are says so.
    const changedOver = readings.map((each, i) => {
      const [on, second] = [each.pumpOn === true || each.pump2On === true, Math.floor(i / 21_600) % 2 === 1];
      return { ...each, level_m: null, pumpOn: on && !second, pump2On: on && second };
    });
    const { findings, pumps } = analyse(standbySite, changedOver).summary;
    expect(Math.min(pumps?.[0].starts ?? 0, pumps?.[1].starts ?? 0)).toBeGreaterThan(20);
    expect(findings.filter(({ kind }) => kind === "float-stuck-off")).toEqual([]);
  });

  it("moves no float: where the upper one calls the other in its place says nothing of the lower", () => {
    const trips_m = [[0.3, 0.1] as const, [0.4, 0.2] as const] as const;
    const plan = { hours: 4, inflow_m3s: () => 2e-4, flow_m3s, trips_m, takeTurns: true, dead: dead(2) };
    const { readings } = playTwoPumps(plan);
    const analyzer = createAnalyzer(standbySite);
    for (const reading of readings) analyzer.push(reading);
    const { trips } = (analyzer.snapshot() as AnalyzerState).tracker;
    expect(trips.recent.length).toBeGreaterThan(3);
    for (const { start_m } of trips.recent) expect(start_m).toBeLessThan(0.31);
  });

  it("does so, too, once it has had few of the starts, of two that took turns before", () => {
    const trips_m = [[0.3, 0.1] as const, [0.4, 0.1] as const] as const;
    const died = (pump: 1 | 2, after_s: number) => pump === 2 && after_s > from_s;
    const plan = { hours: 12, inflow_m3s: () => 4e-4, flow_m3s, trips_m, takeTurns: true, dead: died };
    const { readings, truth } = playTwoPumps(plan);
    expect(truth.pumps[1].starts).toBeLessThan(0.2 * truth.starts);
    const analyzer = createAnalyzer(standbySite);
    for (const reading of readings) analyzer.push(reading);
    const { trips } = (analyzer.snapshot() as AnalyzerState).tracker;
    for (const { start_m } of trips.recent) expect(start_m).toBeLessThan(0.31);
    expect(analyzer.summary().findings.filter(({ kind }) => kind === "sensor-fault")).toEqual([]);
  });

  it("is told of a standby until it has run, though the water is down between two storms", () => {
    const twice = (after_s: number) =>
      [7200, 21_600].some((at_s) => after_s > at_s && after_s < at_s + 3600) ? 1.8e-3 : 2e-4;
    const trips_m = [[0.3, 0.1] as const, [0.4, 0.1] as const] as const;
    const played = play({ hours: 8, inflow_m3s: twice, flow_m3s, together, trips_m, dead: dead(2) });
    const [finding, ...others] = lasting(played);
    expect(others).toEqual([]);
    expect((finding?.to_s ?? Number.NaN) - (finding?.from_s ?? Number.NaN)).toBeGreaterThan(3 * 3600);
  });
});

// End to end: a basin of known truth is recorded and analysed, what came in is replayed against another installation, and
// the basin itself is played again with that installation in it.

import { describe, expect, it } from "vitest";
import { createAnalyzer, type InflowStretch } from "../../../analysis/analyzer.ts";
import type { CurvePoint, Site } from "../../../analysis/site.ts";
import { joinInflow } from "../../../analysis/whatif/join-inflow.ts";
import { listenToRecording } from "../../../analysis/whatif/learn-recorded.ts";
import {
  batteryAsUsual,
  type KnownInstallation,
  type PlannedCut,
  type WhatIfPlan,
} from "../../../analysis/whatif/plan.ts";
import { whatIf } from "../../../analysis/whatif/what-if.ts";
import { drawHouse, hour_s, type Plan, perfectSenses, typicalRate_m3s } from "../../truth/plan.ts";
import { epoch_s, play } from "../../truth/play.ts";
import type { PumpLaw } from "../../truth/pump-law.ts";
import { randomOf } from "../../truth/random.ts";
import { lpm } from "../../truth/weather.ts";

const recorded = recordedHouse(0.8);

describe("a recorded storm, replayed", () => {
  it("gives the highest water and the starts of the installation that was there", () => {
    const played = replayed(recorded.plan);
    const truth = truly(recorded.plan);
    expect(played.grounds?.flow).toBe("measured");
    expect(Math.abs((played.outcome?.highestLevel_m ?? 0) - truth.highest_m)).toBeLessThan(0.005);
    expect(Math.abs((played.outcome?.starts ?? 0) / truth.starts - 1)).toBeLessThan(0.03);
    expect(Math.abs((played.outcome?.run_s ?? 0) / truth.run_s - 1)).toBeLessThan(0.015);
  });

  it.each([
    { name: "a pump that moves a quarter less", change: weaker(0.72) },
    { name: "a pump that moves a quarter less, with floats hung higher", change: chain(weaker(0.72), floats(0.06)) },
    { name: "a pump that moves half as much", change: weaker(0.5) },
    { name: "the same pump with its floats closer", change: floats(-0.05) },
    { name: "a power cut of six minutes in the storm", cut: { lasts_s: 360, at_s: epoch_s + 5.2 * hour_s } },
    { name: "a power cut of an hour in the calm after it", cut: { lasts_s: 3600, at_s: epoch_s + 14.3 * hour_s } },
  ])("foretells what $name would have done", ({ change = same, cut }) => {
    const plan = withCut(change(recorded.plan), cut);
    const { outcome } = replayed(plan, cut);
    const truth = truly(plan);
    expect(Math.abs((outcome?.highestLevel_m ?? 0) - truth.highest_m)).toBeLessThan(0.015);
    expect(Math.abs((outcome?.starts ?? 0) / truth.starts - 1)).toBeLessThan(0.03);
    expect(Math.abs((outcome?.overflow_m3 ?? 0) - truth.spilled_m3)).toBeLessThan(0.002 + 0.03 * truth.spilled_m3);
  });

  it("says how far to trust it where the storm is hardly more than the pump moves", () => {
    // half a percent of the inflow, or a basin just filled or just emptied, is centimetres here
    const plan = weaker(0.62)(recorded.plan);
    const { ranges } = replayed(plan);
    const { highest_m } = truly(plan);
    expect(ranges?.highestLevel_m.low).toBeLessThan(highest_m);
    expect(ranges?.highestLevel_m.high).toBeGreaterThan(highest_m);
  });
});

function replayed(plan: Plan, cut?: PlannedCut) {
  const { inflow, known } = recorded;
  const firstLevel_m = plan.trips.stop_m + 0.01;
  return whatIf({ ...planOf(plan.site), cuts: cut ? [cut] : [] }, inflow, known, { firstLevel_m });
}

type Change = (plan: Plan) => Plan;

function same(plan: Plan): Plan {
  return plan;
}

function chain(...changes: readonly Change[]): Change {
  return (plan) => changes.reduce((so, change) => change(so), plan);
}

function weaker(share: number): Change {
  return (plan) => {
    const pump: PumpLaw = {
      ...plan.pump,
      quadratic_s2m5: plan.pump.quadratic_s2m5 / share ** 2,
      shutOff_m: plan.pump.shutOff_m * 0.97,
    };
    return { ...plan, pump, site: { ...plan.site, pump: { curve: curveOf(pump), maxStartsPerHour: 20, minRun_s: 5 } } };
  };
}

function floats(by_m: number): Change {
  return (plan) => ({
    ...plan,
    trips: { ...plan.trips, start_m: plan.trips.start_m + by_m },
    site: {
      ...plan.site,
      basin: { ...plan.site.basin, startLevel_m: plan.trips.start_m + by_m, stopLevel_m: plan.trips.stop_m },
    },
  });
}

function withCut(plan: Plan, cut?: PlannedCut): Plan {
  if (cut === undefined || cut.at_s === "worst") return plan;
  const at_s = cut.at_s - epoch_s;
  return {
    ...plan,
    changes: [
      { at_s, set: { power: false } },
      { at_s: at_s + cut.lasts_s, set: { power: true } },
    ],
  };
}

/** A drawn house whose pump and pipe are what its site file says. */
function recordedHouse(share: number): { plan: Plan; inflow: readonly InflowStretch[]; known: KnownInstallation } {
  const house = drawHouse(randomOf("what if", 3));
  const peak_lpm = (share * typicalRate_m3s(house)) / lpm;
  const storm = { from_s: 4 * hour_s, peak_lpm, rain_s: 2 * hour_s, store_s: 0.5 * hour_s, reservoirs: 2 };
  const plan: Plan = {
    ...house,
    days: 0.8,
    trips: { ...house.trips, scatter_m: 0 },
    weather: { ...house.weather, storms: [storm] },
    site: {
      ...house.site,
      basin: { ...house.site.basin, startLevel_m: house.trips.start_m, stopLevel_m: house.trips.stop_m },
      pump: { curve: curveOf(house.pump), maxStartsPerHour: 20, minRun_s: 5 },
      discharge: {
        highPoint_m: house.pipe.highPoint_m,
        // so short that it loses nothing: all the friction is in the fitting, by the square of the flow as in the truth
        pipe: { material: "pvc-40", nominal_m: null, insideDiameter_m: 0.04, length_m: 1e-6 },
        fittings: [
          {
            kind: "other",
            count: 1,
            lossCoefficient: house.pipe.friction_s2m5 * 2 * 9.80665 * (Math.PI * 0.02 ** 2) ** 2 - 1,
          },
        ],
      },
    },
  };
  const listener = listenToRecording(plan.site);
  const analyzer = createAnalyzer(plan.site, { sink: listener.sink });
  for (const reading of play(plan, "what if").readings) analyzer.push(reading);
  analyzer.finish();
  return { plan, inflow: joinInflow(listener.course().inflow).stretches, known: listener.known(analyzer.summary()) };
}

function curveOf({ shutOff_m, linear_sm2, quadratic_s2m5 }: PumpLaw): CurvePoint[] {
  const most = (2 * shutOff_m) / (linear_sm2 + Math.sqrt(linear_sm2 ** 2 + 4 * quadratic_s2m5 * shutOff_m));
  return Array.from({ length: 21 }, (_, i) => {
    const flow_m3s = (most * i) / 20;
    return { flow_m3s, head_m: shutOff_m - linear_sm2 * flow_m3s - quadratic_s2m5 * flow_m3s ** 2 };
  });
}

function truly(plan: Plan) {
  let highest_m = 0;
  const seen = play({ ...plan, senses: { ...perfectSenses, channels: ["level"] } }, "what if");
  for (const { level_m } of seen.readings) highest_m = Math.max(highest_m, level_m ?? 0);
  const truth = seen.truth();
  return {
    highest_m,
    starts: truth.cycles.length,
    run_s: truth.cycles.reduce((sum, { startedAt_s, stoppedAt_s }) => sum + stoppedAt_s - startedAt_s, 0),
    spilled_m3: truth.totals.spilled_m3,
  };
}

function planOf(site: Site): WhatIfPlan {
  return { name: "tried", site, takesTurns: false, cuts: [], onBattery: batteryAsUsual, groundHead_m: null };
}

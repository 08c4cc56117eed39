import { describe, expect, it } from "vitest";
import { channelFaults } from "../../../analysis/findings/channel-fault.ts";
import { highFloatStuckDown, highFloatStuckUp } from "../../../analysis/findings/high-float-fault.ts";
import { tripDrift } from "../../../analysis/findings/trip-drift.ts";
import { newChannelWatch } from "../../../analysis/readings/channel-watch.ts";
import type { TripProblem } from "../../../analysis/readings/trip-drift.ts";
import { newTripLevels } from "../../../analysis/readings/trip-levels.ts";
import { smallSite } from "../small-basin.ts";
import { viewOf } from "./view.ts";

describe("channel-fault", () => {
  it("has a finding for each channel, which names its column", () => {
    const channels = newChannelWatch();
    for (const watched of Object.values(channels))
      if (watched !== null) Object.assign(watched, { value: 0, unmoved: 9 });
    Object.assign(channels.temperature_c, { value: 85 });
    Object.assign(channels.rain_m, { value: -1 });
    const view = viewOf({ channels });
    expect(
      channelFaults.map((rule) => [rule.holds(view, null), rule.evidence(view).channel, rule.evidence(view).problem]),
    ).toEqual([
      [true, "float_on", "frozen"],
      [true, "pump_current_a", "frozen"],
      [true, "pump_power_w", "frozen"],
      [true, "mains_on", "contradicted"],
      [true, "temperature_c", "out-of-range"],
      [true, "rain_mm", "out-of-range"],
    ]);
  });

  it("tells of a thermometer that is stuck, in words of its own: it is on no pump's circuit", () => {
    const channels = newChannelWatch();
    Object.assign(channels.temperature_c, { value: 12, stuck: true, starts: 40 });
    const view = viewOf({ channels });
    const rule = channelFaults.find((each) => each.evidence(view).channel === "temperature_c");
    expect(rule?.holds(view, null)).toBe(true);
    expect(rule?.evidence(view)).toMatchObject({ problem: "frozen", value: 12, unmoved_runs: 40 });
    expect(rule?.message(view, {})).toContain("the very same figure");
  });
});

describe("high-float-fault", () => {
  it("is true of a float that is up 50 mm over the water for an hour, or down 50 mm under it for five minutes", () => {
    expect(highFloatStuckUp.holds(viewOf({ highFloat: true, level_m: 0.39 }), null)).toBe(true);
    expect(highFloatStuckUp.holds(viewOf({ highFloat: true, level_m: 0.42 }), null)).toBe(false);
    expect(highFloatStuckUp.onDelay_s).toBe(3600);
    expect(highFloatStuckDown.holds(viewOf({ highFloat: false, level_m: 0.51 }), null)).toBe(true);
    expect(highFloatStuckDown.holds(viewOf({ highFloat: false, level_m: 0.49 }), null)).toBe(false);
    expect(highFloatStuckDown.onDelay_s).toBe(300);
  });

  it("cannot tell by a level that is not trusted", () => {
    expect(highFloatStuckUp.holds(viewOf({ highFloat: true, levelProblem: "frozen" }), null)).toBeNull();
    expect(highFloatStuckDown.holds(viewOf({ highFloat: false, level_m: null }), null)).toBeNull();
  });
});

describe("trip-drift", () => {
  function drifted(problem: TripProblem, shift_m: number, span_share: number) {
    const drift = { problem, since_s: 0, shift_m, span_share };
    return viewOf({ trips: { ...newTripLevels(), start_m: 0.3, stop_m: 0.1, drift } });
  }

  it("says that a shift changes no inflow between straight walls, and a span by its own share", () => {
    expect(tripDrift.evidence(drifted("zero-drift", 0.02, 0.01)).inflow_error_share).toBe(0);
    expect(tripDrift.evidence(drifted("span-drift", 0.01, 0.06)).inflow_error_share).toBe(0.06);
  });

  it("says by how much a shift changes the inflow in a basin that widens", () => {
    const rows = [
      { level_m: 0, volume_m3: 0 },
      { level_m: 0.3, volume_m3: 0.03 },
      { level_m: 0.6, volume_m3: 0.09 },
    ];
    const site = { ...smallSite, basin: { ...smallSite.basin, geometry: { shape: "table" as const, rows } } };
    // 0.1 to 0.3 m hold 20 L; 0.12 to 0.32 m hold 18 L and 4 L.
    expect(tripDrift.evidence({ ...drifted("zero-drift", 0.02, 0), site }).inflow_error_share).toBe(0.1);
  });

  it("tells of a drift that grows by 5 mm, or turns out to be another", () => {
    const { worsen } = tripDrift;
    const before = tripDrift.evidence(drifted("zero-drift", 0.01, 0));
    expect(worsen?.(before, drifted("zero-drift", 0.014, 0))).toBeNull();
    expect(worsen?.(before, drifted("zero-drift", 0.016, 0))).toMatchObject({ shift_m: 0.016 });
    expect(worsen?.(before, drifted("re-zeroed", 0.01, 0))).toMatchObject({ problem: "re-zeroed" });
    expect(tripDrift.holds(viewOf(), null)).toBe(false);
  });
});

import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../../analysis/analyzer.ts";
import { flow_m3s, playTwoPumps, standbySite, together } from "../../scenarios/two-pump-basin.ts";

describe("what comes in now", () => {
  const trips_m = [[0.3, 0.1] as const, [0.4, 0.1] as const] as const;
  const storm_m3s = 2.3e-3;
  const inflow_m3s = (t: number) => (t > 7200 && t < 7800 ? storm_m3s : 2e-4);
  const { readings } = playTwoPumps({ hours: 2.1, inflow_m3s, flow_m3s, together, trips_m });
  const inflowAt = (stop: (on: boolean, second: boolean, for_s: number) => boolean) => {
    const analyzer = createAnalyzer(standbySite);
    let [since_s, both] = [0, false];
    for (const reading of readings) {
      analyzer.push(reading);
      const now = reading.pumpOn === true && reading.pump2On === true;
      if (now !== both) since_s = reading.time_s;
      both = now;
      if (stop(reading.pumpOn === true, both, reading.time_s - since_s)) break;
    }
    return analyzer.situation().inflow;
  };

  it("is no less than the stronger of two pumps moves, while both run for the first time", () => {
    const inflow = inflowAt((_, both, for_s) => both && for_s > 90);
    expect(inflow?.unseenCourse).toBe("least");
    // The first alone moves 1.5e-3 m³/s with the water at 0.2 m and more above, and the water goes down by little.
    expect(inflow?.flow_m3s).toBeGreaterThan(1.2e-3);
    expect(inflow?.flow_m3s).toBeLessThan(storm_m3s);
  });
});

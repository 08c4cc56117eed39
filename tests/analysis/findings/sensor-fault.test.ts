import { describe, expect, it } from "vitest";
import { sensorFault } from "../../../analysis/findings/sensor-fault.ts";
import { viewOf } from "./view.ts";

describe("sensor-fault", () => {
  it.each(["frozen", "out-of-range", "dropping-out", "implausible"] as const)(
    "is true of a level that is %s, names the channel and advises by it",
    (levelProblem) => {
      const view = viewOf({ levelProblem });
      expect(sensorFault.holds(view, false)).toBe(true);
      expect(sensorFault.evidence(view)).toEqual({ channel: "level", problem: levelProblem, last_level_m: 0.2 });
      expect(sensorFault.message(view)).toContain("level reading");
    },
  );

  it("is false of a sensor that is well", () => {
    expect(sensorFault.holds(viewOf(), false)).toBe(false);
  });

  it("is one finding for a connection that comes and goes for half an hour", () => {
    expect(sensorFault.offDelay_s).toBe(1800);
  });
});

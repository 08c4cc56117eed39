import { describe, expect, it } from "vitest";
import { pumpSignalFault, secondSignalFault, sensorFault } from "../../../analysis/findings/sensor-fault.ts";
import { viewOf } from "./view.ts";

describe("sensor-fault", () => {
  it.each(["frozen", "out-of-range", "dropping-out", "implausible"] as const)(
    "is true of a level that is %s, names the channel and advises by it",
    (levelProblem) => {
      const view = viewOf({ levelProblem });
      expect(sensorFault.holds(view, null)).toBe(true);
      expect(sensorFault.evidence(view)).toEqual({ channel: "level", problem: levelProblem, last_level_m: 0.2 });
      expect(sensorFault.message(view, {})).toContain("level reading");
    },
  );

  it("is false of a sensor that is well", () => {
    expect(sensorFault.holds(viewOf(), null)).toBe(false);
  });

  it("names the pump's contact when it is that which does not follow", () => {
    const view = viewOf({ pumpSignalDead: true, pumpRunning: true });
    expect(pumpSignalFault.holds(view, null)).toBe(true);
    expect(pumpSignalFault.holds(viewOf(), null)).toBe(false);
    expect(pumpSignalFault.evidence(view)).toEqual({
      channel: "pump_on",
      problem: "frozen",
      pump_running_by_level: true,
      last_level_m: 0.2,
    });
    expect(pumpSignalFault.message(view, {})).toContain("read off the level");
  });

  it("says of two pumps whose signal it is", () => {
    expect(pumpSignalFault.message(viewOf(), {})).toMatch(/^The pump's signal/);
    expect(secondSignalFault.message(viewOf(), {})).toMatch(/^The second pump's signal/);
  });

  it("says so when a sensor that drops out now and then freezes meanwhile, and not again at the next drop-out", () => {
    const dropping = sensorFault.evidence(viewOf({ levelProblem: "dropping-out" }));
    const frozen = sensorFault.worsen?.(dropping, viewOf({ levelProblem: "frozen" })) ?? {};
    expect(frozen.problem).toBe("frozen");
    expect(sensorFault.worsen?.(dropping, viewOf({ levelProblem: "dropping-out" }))).toBeNull();
    expect(sensorFault.worsen?.(dropping, viewOf())).toBeNull();
    expect(sensorFault.worsen?.(frozen, viewOf({ levelProblem: "dropping-out" }))).toBeNull();
    // Foam tosses a level out of its range, too, and is foam.
    const foam = sensorFault.evidence(viewOf({ levelProblem: "implausible" }));
    expect(sensorFault.worsen?.(foam, viewOf({ levelProblem: "out-of-range" }))).toBeNull();
  });

  it("is one finding for a connection that comes and goes for an hour", () => {
    expect(sensorFault.offDelay_s).toBe(3600);
  });
});

import { describe, expect, it } from "vitest";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import { pumpNames, runSentences, whichRanIn, whichRunNow } from "../../dashboard/pump-words.ts";
import { quietCycle } from "../analysis/findings/view.ts";
import { stateAt } from "./mock-moods.ts";

const names = ["Main", "Standby"] as const;
const shares = { pump1_s: 99, pump2_s: 57, both_s: 57, rateOf: "both" } as const;
const { situation } = stateAt(1_772_409_600, { from_s: 0, to_s: 1 }, [], "calm", 1);

describe("pump words", () => {
  it("call two pumps as the site file does, else by their number", () => {
    const pump = { curve: null, maxStartsPerHour: null, minRun_s: null };
    expect(pumpNames({ pumps: [{ ...pump, name: "Main" }, pump] })).toEqual(["Main", "pump 2"]);
    expect(pumpNames({})).toEqual(["pump 1", "pump 2"]);
  });

  it("say in short which run now and which ran, and nothing with one pump", () => {
    expect(whichRunNow(situation)).toBe(null);
    expect(whichRunNow({ ...situation, pumpsRunning: [true, true] })).toBe("1+2");
    expect(whichRunNow({ ...situation, pumpsRunning: [null, true] })).toBe("2");
    expect(whichRunNow({ ...situation, pumpsRunning: [false, false] })).toBe(null);
    expect(whichRanIn(quietCycle)).toBe(null);
    expect(whichRanIn({ ...quietCycle, pumps: shares })).toBe("1+2");
    expect(whichRanIn({ ...quietCycle, pumps: { ...shares, pump2_s: 0, both_s: 0 } })).toBe("1");
  });

  it("tell of a run who ran, whose the rate is, and what the motor drew", () => {
    const cycle: Cycle = {
      ...quietCycle,
      pumps: shares,
      runningCurrent: { mean: 6.75, standardDeviation: 0.05 },
      runningPower: { mean: 563.4, standardDeviation: null },
    };
    expect(runSentences(cycle, names)).toEqual([
      "Main ran 1 min 39 s, Standby ran 57.0 s, 57.0 s of it together. The rate is that of both.",
      "Drew 6.8 A (scatter 0.05) and 563 W while running, the first second left out.",
    ]);
    const alone = { ...quietCycle, pumps: { pump1_s: 0, pump2_s: 20, both_s: 0, rateOf: 2 } as const };
    expect(runSentences(alone, names)).toEqual(["Standby ran 20.0 s."]);
    expect(runSentences(quietCycle, names)).toEqual([]);
  });
});

import { describe, expect, it } from "vitest";
import { joinInflow } from "../../../analysis/whatif/join-inflow.ts";
import type { ReplayOutcome } from "../../../analysis/whatif/outcome.ts";
import type { WhatIfGiven } from "../../../analysis/whatif/to-whatif-answer.ts";
import { toWhatIfAnswer } from "../../../analysis/whatif/to-whatif-answer.ts";
import { smallSite } from "../small-basin.ts";

const outcome: ReplayOutcome = {
  from_s: 0,
  to_s: 1000,
  played_s: 1000,
  highestLevel_m: 0.302,
  highestAt_s: 200,
  lastLevel_m: 0.2,
  starts: 50,
  mostStartsInAnHour: 5,
  run_s: 1000,
  aboveHigh_s: 0,
  overflow_m3: 0,
  overflowFrom_s: null,
  overflow_s: 0,
  powerCut_s: 0,
  batteryEmpty_s: null,
  batteryEmptyFrom_s: null,
  inflow_m3: 1,
  pumped_m3: 1,
  returned_m3: 0,
  energy_j: null,
  batteryEnergy_j: null,
  pumps: [],
};

function answer(recorded: Partial<WhatIfGiven["recorded"]>, played: ReplayOutcome | null = outcome) {
  const asItWas = { name: "as it is", outcome: played, ranges: null, grounds: null, cuts: [], missing: [] };
  return toWhatIfAnswer({
    site: smallSite,
    of: "recording",
    inflow: joinInflow([{ from_s: 0, to_s: 1000, inflow_m3s: 1e-3, uInflow_m3s: 0 }]),
    rows: [asItWas],
    asItWas,
    recorded: { highest_m: 0.3, starts: 51, mostStartsInAnHour: 5, run_s: 990, atRim_s: 0, powerCuts: 0, ...recorded },
  });
}

describe("how far a what-if can be trusted", () => {
  it("is said with what differs", () => {
    expect(answer({ highest_m: 0.2986, run_s: 960 }).trust.message).toBe(
      "The replay of what is there agrees with the record: the highest level comes out 3.4 mm above the recorded one, with 50 starts and 17 min of running where 51 and 16 min were recorded.",
    );
  });

  it("makes nothing of a millimetre, by which sensors differ", () => {
    expect(answer({ highest_m: 0.3012 }).trust.message).toContain("the highest level comes out as recorded");
  });

  it.each([
    ["the level", { highest_m: 0.35 }],
    ["the starts", { starts: 60 }],
    ["the time that the pump ran", { run_s: 700 }],
  ])("is little where %s does not come out", (_, recorded) => {
    expect(answer(recorded).trust.message).toContain("does not agree with the record");
  });

  it("takes no reading over the rim for water that stood there", () => {
    const flooded = { ...outcome, highestLevel_m: 0.6 };
    expect(answer({ highest_m: 0.66, atRim_s: 90 }, flooded).trust.message).toContain("comes out as recorded");
    expect(answer({ highest_m: 0.66, atRim_s: 90 }, flooded).notes[0]).toContain(
      "What ran over then is not in the inflow",
    );
  });

  it("is not known where nothing could be replayed", () => {
    expect(answer({}, null).trust.replayed).toBeNull();
  });
});

import { describe, expect, it } from "vitest";
import { newPeaks } from "../../../analysis/inflow/over-time/rolling-peaks.ts";
import type { ReportPump, ReportSummary } from "../../../analysis/report/report.ts";
import { summarize } from "../../../analysis/report/summarize.ts";
import { newTally } from "../../../analysis/report/tally.ts";
import { pumpsInWords, withOneFailed } from "../../../daemon/report/pumps-in-words.ts";
import { smallSite } from "../../analysis/small-basin.ts";

const flow = (lpm: number) => `${lpm} L/min`;
const bare = summarize(smallSite, newTally(), newPeaks(), []);
const main: ReportPump = {
  name: "Main",
  starts: 160,
  run_s: 5400,
  most_starts_in_an_hour: 32,
  rate: { lpm: 90, u95_lpm: 0.2 },
};

function withSecond(second: Partial<ReportPump>, both_capacity_lpm: number | null): ReportSummary {
  const sizing = { ...bare.sizing, margin: 0.83, firm_capacity_lpm: 90, both_capacity_lpm };
  return { ...bare, pumps: [main, { ...main, name: null, ...second }], sizing };
}

describe("two pumps in words", () => {
  it("are one line each, and one for both", () => {
    expect(
      pumpsInWords(withSecond({ starts: 1, run_s: 60, most_starts_in_an_hour: 1, rate: null }, 146), flow),
    ).toEqual([
      "Main: 160 starts, at most 32 in an hour; ran 90 min; by itself it moves 90 L/min",
      "pump 2: 1 start, at most 1 in an hour; ran 60 s; what it moves by itself is not known",
      "both together: 146 L/min",
    ]);
  });

  it("say that a standby never ran, or was not watched", () => {
    const lines = (second: Partial<ReportPump>) => pumpsInWords(withSecond({ ...second, rate: null }, null), flow);
    expect(lines({ starts: 0, run_s: 0 })[1]).toMatch(/^pump 2: never ran in this recording; see that it works/);
    expect(lines({ starts: null, run_s: null })[1]).toMatch(/^pump 2: not watched/);
    expect(lines({ starts: 0, run_s: 0 })[2]).toMatch(/^both together: not known/);
  });

  it("say what is left when one fails", () => {
    expect(withOneFailed(withSecond({}, 146), flow)).toBe(
      "with one pump failed, 90 L/min is left: 0.83 times the peak over ten minutes",
    );
  });

  it("say nothing of one pump", () => {
    expect(pumpsInWords(bare, flow)).toEqual([]);
    expect(withOneFailed(bare, flow)).toBe(null);
  });
});

// A level and the pump's float that are read so seldom that most runs lie between two readings.

import { describe, expect, it } from "vitest";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { reading, smallSite, startTime_s } from "./small-basin.ts";

const rest_s = 1807;
const run_s = 17;
const days = 2;

/** Read each minute a float is seen closed in one run of three or four. */
function* eachMinute(floatWorks: boolean) {
  for (let after_s = 0; after_s < days * 86_400; after_s += 60) {
    const phase_s = after_s % (rest_s + run_s);
    const calls = phase_s >= rest_s;
    const level_m = calls ? 0.3 - (0.2 * (phase_s - rest_s)) / run_s : 0.1 + (0.2 * phase_s) / rest_s;
    yield reading(startTime_s + after_s, { level_m, floatOn: floatWorks && calls });
  }
}

describe("a float that is read each minute, beside a level, in a basin whose runs last 17 s", () => {
  it("is called no dead one for runs between two readings", () => {
    const { said, cycles } = analyse(smallSite, eachMinute(true));
    expect(cycles.length).toBeGreaterThan(90);
    expect(said.findings).toEqual([]);
  });

  it("is called dead once it stood still through six runs in which it was read", () => {
    const { said } = analyse(smallSite, eachMinute(false));
    const [first] = said.findings;
    expect(first?.change).toBe("began");
    expect(first?.finding.evidence).toMatchObject({ channel: "float_on", problem: "frozen", unmoved_runs: 6 });
    // of 47 runs in a day 13 are read
    expect(first?.finding.from_s).toBeGreaterThan(startTime_s + 6 * (rest_s + run_s));
    expect(first?.finding.from_s).toBeLessThan(startTime_s + 86_400);
  });
});

/** A level each 10 s, and in each sixth of its rows the float. */
function* floatEachMinute(fills_s: number, runs_s: number, floatWorks: boolean) {
  const random = seededRandom(4);
  for (let after_s = 0; after_s < 5 * 86_400; after_s += 10) {
    const phase_s = after_s % (fills_s + runs_s);
    const calls = phase_s >= fills_s;
    const level_m = calls ? 0.3 - (0.2 * (phase_s - fills_s)) / runs_s : 0.1 + (0.2 * phase_s) / fills_s;
    const noise_m = random.normal(0.002);
    yield reading(startTime_s + after_s, {
      level_m: level_m + noise_m,
      ...(after_s % 60 === 0 && { floatOn: floatWorks && calls }),
    });
  }
}

describe("a float that is read each minute, beside a level each 10 s", () => {
  it.each([17, 26])("is called no dead one for runs of %d s that were over before it was asked", (runs_s) => {
    expect(analyse(smallSite, floatEachMinute(613.7, runs_s, true)).said.findings).toEqual([]);
  });

  it("is called dead once it stood still through six runs in which it was asked", () => {
    const { said } = analyse(smallSite, floatEachMinute(1807, 43, false));
    expect(said.findings[0]?.finding.evidence).toMatchObject({
      channel: "float_on",
      problem: "frozen",
      unmoved_runs: 6,
    });
  });
});

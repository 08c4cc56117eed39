// A pump's float that bobs in its runs, beside a level that alone tells of them: the pump stands for seconds at a time.

import { describe, expect, it } from "vitest";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { reading, smallSite, startTime_s } from "./small-basin.ts";

const rest_s = 600;
const fall_ms = 0.01;

/**
 * Twenty runs of 20 s, then twenty in which the float is closed for five seconds and open for three by turns.
 *
 * @param bounce_s its contact says either for so long after it turned over for good
 */
function* withFloat(every_s: number, bobs: boolean, bounce_s = 0) {
  const random = seededRandom(3);
  let level_m = 0.1;
  let runsFor_s = Number.NaN;
  let turnedAt_s = Number.NEGATIVE_INFINITY;
  let runs = 0;
  for (let after_s = 0; runs < 40; after_s += every_s) {
    if (Number.isNaN(runsFor_s) && level_m >= 0.3) {
      runsFor_s = 0;
      turnedAt_s = after_s;
    } else if (runsFor_s > 0 && level_m <= 0.1) {
      runsFor_s = Number.NaN;
      turnedAt_s = after_s;
      runs += 1;
    }
    const calls = !Number.isNaN(runsFor_s);
    const closed = calls && !(bobs && runs >= 20 && runsFor_s % 8 >= 5);
    const floatOn = after_s - turnedAt_s < bounce_s ? random.uniform() < 0.5 : closed;
    yield reading(startTime_s + after_s, { level_m: level_m + random.normal(0.001), floatOn });
    if (calls) runsFor_s += every_s;
    level_m += every_s * (closed ? -fall_ms : 0.2 / rest_s);
  }
}

describe("a float that bobs in its runs, beside a level that tells of them", () => {
  it.each([1, 2])("is told, and makes no blocked discharge of runs that take longer: read each %i s", (every_s) => {
    const { summary, cycles } = analyse(smallSite, withFloat(every_s, true));
    expect(cycles.length).toBeGreaterThan(38);
    expect(summary.findings.map(({ kind, evidence }) => [kind, evidence.cause])).toEqual([
      ["short-cycling", "float-chatter"],
    ]);
    expect(cycles.slice(21).every(({ pumpRate }) => pumpRate === null)).toBe(true);
  });

  it.each([1, 2])("makes none either without the float to tell of it: read each %i s", (every_s) => {
    const readings = [...withFloat(every_s, true)].map((each) => ({ ...each, floatOn: null }));
    const { summary, cycles } = analyse(smallSite, readings);
    expect(cycles.length).toBeGreaterThan(38);
    expect(summary.findings).toEqual([]);
  });

  it("is none whose contact bounces as it turns over", () => {
    expect(analyse(smallSite, withFloat(1, false, 3)).summary.findings).toEqual([]);
  });
});

// A tap that runs beside the pump: what it brings is inflow, the pump has to move it, and moves no less for it.

import { describe, expect, it } from "vitest";
import type { FindingKind } from "../../../../analysis/findings/finding.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { analyse } from "../../analyse.ts";
import { area_m2, inflow_m3s, pumpRate_m3s, reading, smallSite, startTime_s } from "../../small-basin.ts";

const runs = 40;
const tap_m3s = 6e-4;

/** A tap before every third run from the twelfth on. */
interface Tap {
  /** It is opened as the water stands so high, and shut after so long. */
  readonly opensAt_m: number;
  readonly lasts_s: number;
}

/** Read each second through noise of 1 mm, of a pump that lifts nothing in its first second. */
function played({ opensAt_m, lasts_s }: Tap) {
  const random = seededRandom(3);
  const readings = [];
  const truth = { came_m3: 0, pumped_m3: 0 };
  let [level_m, on, on_s, run, open_s, tapped, t] = [0.1, false, 0, 0, 0, 0, 0];
  for (; run < runs; t += 1) {
    if (!on && level_m >= 0.3) run += 1;
    on = on ? level_m > 0.1 : level_m >= 0.3;
    on_s = on ? on_s + 1 : 0;
    if (run >= 12 && run % 3 === 0 && tapped < run && level_m >= opensAt_m && !on) [open_s, tapped] = [lasts_s, run];
    const in_m3 = inflow_m3s + (open_s > 0 ? tap_m3s : 0);
    open_s -= 1;
    const out_m3 = on_s > 1 ? pumpRate_m3s : 0;
    level_m += (in_m3 - out_m3) / area_m2;
    truth.came_m3 += in_m3;
    truth.pumped_m3 += out_m3;
    readings.push(reading(startTime_s + t, { level_m: level_m + random.normal(0.001), pumpOn: on }));
  }
  const { summary } = analyse(smallSite, readings);
  return {
    mean: (summary.inflow.mean_lpm ?? Number.NaN) / 60_000 / (truth.came_m3 / t),
    pumped: (summary.totals.pumped_l ?? Number.NaN) / 1000 / truth.pumped_m3,
    told: summary.findings.map(({ kind }): FindingKind => kind),
  };
}

describe("a tap beside the pump", () => {
  it.each([
    ["opens seconds before the start and is shut before the stop", { opensAt_m: 0.298, lasts_s: 36 }, 0.03],
    ["opens as the water nears the start and is shut after the stop", { opensAt_m: 0.298, lasts_s: 70 }, 0.03],
    ["is open long before the start, and is shut after the stop", { opensAt_m: 0.22, lasts_s: 90 }, 0.02],
  ])("counts, and blocks no discharge, where it %s", (_, tap, off) => {
    const { mean, pumped, told } = played(tap);
    expect(told).not.toContain("discharge-blocked");
    expect(Math.abs(pumped - 1)).toBeLessThan(off);
    expect(Math.abs(mean - 1)).toBeLessThan(off);
  });
});

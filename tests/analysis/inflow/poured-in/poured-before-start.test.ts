import { describe, expect, it } from "vitest";
import { studentTQuantile } from "../../../../analysis/statistics/student-t.ts";
import { flowBudget } from "../../../../analysis/uncertainty/budget.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { analyse } from "../../analyse.ts";
import { area_m2, inflow_m3s, pumpRate_m3s, reading, smallSite, startTime_s } from "../../small-basin.ts";

const [bucket_m3s, poursFor_s] = [0.002, 4];

/** Each second; into every fourth rest a bucket is poured once the water is 30 to 60 mm under the start. */
function played() {
  const random = seededRandom(3);
  const [start_m3, stop_m3] = [0.3 * area_m2, 0.1 * area_m2];
  let [volume_m3, running, since_s, cycle, pouredAt_s] = [stop_m3, false, 0, 0, Number.NaN];
  const rests_s: number[] = [];
  const readings = Array.from({ length: 9000 }, (_, i) => {
    for (let tenth = 0; tenth < 10; tenth += 1) {
      const time_s = i + tenth / 10;
      const due_m3 = start_m3 - area_m2 * (0.03 + 0.01 * (cycle % 3));
      if (!running && cycle % 4 === 3 && Number.isNaN(pouredAt_s) && volume_m3 >= due_m3) pouredAt_s = time_s;
      const pours = time_s - pouredAt_s < poursFor_s ? bucket_m3s : 0;
      volume_m3 += (inflow_m3s + pours - (running ? pumpRate_m3s : 0)) / 10;
      if (!running && volume_m3 >= start_m3) {
        running = true;
        rests_s.push(time_s - since_s);
      } else if (running && volume_m3 <= stop_m3) {
        [running, since_s, pouredAt_s] = [false, time_s, Number.NaN];
        cycle += 1;
      }
    }
    return reading(startTime_s + i, { level_m: volume_m3 / area_m2 + random.normal(5e-4), pumpOn: running });
  });
  return { readings, rests_s };
}

describe("a bucket that starts the pump", () => {
  it("counts in the inflow of the rest that it ends by what came before the start", () => {
    const { readings, rests_s } = played();
    const { cycles } = analyse(smallSite, readings);
    // The first was not seen to begin, the last not to be followed by a rest.
    const buckets = cycles.filter((_, i) => i % 4 === 3);
    expect(buckets.length).toBeGreaterThan(6);
    for (const { inflow, startedAt_s } of buckets) {
      const number = cycles.findIndex((cycle) => cycle.startedAt_s === startedAt_s);
      const true_m3s = (0.2 * area_m2) / (rests_s[number] ?? Number.NaN);
      if (inflow === null) throw new Error("no inflow");
      const off_m3s = Math.abs(inflow.flow_m3s - true_m3s);
      expect(off_m3s / true_m3s).toBeLessThan(0.07);
      expect(off_m3s).toBeLessThan(2 * studentTQuantile(0.975, inflow.degreesOfFreedom) * inflow.uFlow_m3s);
    }
    // Where none of it was seen to rise, what is unsure is where the float closed; and its budget says so.
    const byFloat = buckets.filter(({ inflow }) => {
      const lines = inflow === null ? [] : flowBudget(inflow).lines;
      return lines.some(({ source, u }) => source === "float-repeatability" && u > 0.9 * (inflow?.uFlow_m3s ?? 0));
    });
    expect(byFloat.length).toBeGreaterThanOrEqual(3);
  });
});

import { describe, expect, it } from "vitest";
import { mostOfPipe } from "../../../../analysis/inflow/drain-back/drain-back.ts";
import { toldReturn_m3 } from "../../../../analysis/inflow/drain-back/returned-water.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { analyse } from "../../analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "../../small-basin.ts";

/**
 * The small basin read every second, with a level that is good to a millimetre; so much is back within a second of each
 * stop, and the contact says 'runs' for so many seconds more.
 */
function readEachSecond({
  back_m3 = 0,
  late_s = () => 0,
  rise_m = 0.001,
  noise_m = (i: number): number => (i % 2 === 0 ? 0.001 : -0.001),
}) {
  let level_m = 0.1;
  let pumpOn = false;
  let [stopped_s, saysUntil_s] = [-100, 0];
  const readings = Array.from({ length: 6000 }, (_, i) => {
    level_m += rise_m - (pumpOn ? 0.011 : 0) + (i === stopped_s + 1 ? back_m3 / area_m2 : 0);
    if (level_m >= 0.3) pumpOn = true;
    if (level_m <= 0.1 && pumpOn) {
      pumpOn = false;
      stopped_s = i;
      saysUntil_s = i + late_s();
    }
    return reading(startTime_s + i, { level_m: level_m + noise_m(i), pumpOn: pumpOn || i < saysUntil_s });
  });
  return analyse(smallSite, readings);
}

describe("water that is back at once, read every second", () => {
  it("is told as what it is, and found as a leak", () => {
    const { cycles, said } = readEachSecond({ back_m3: 5e-3 });
    const back = cycles.flatMap(({ drainBack_m3 }) => (drainBack_m3 === null ? [] : [drainBack_m3]));
    expect(back.length).toBeGreaterThan(15);
    for (const volume_m3 of back) expect(Math.abs(volume_m3 - 5e-3)).toBeLessThan(1.5e-3);
    expect(said.findings.map(({ finding }) => finding.kind)).toContain("check-valve-leak");
  });

  it("is not made of a stop that the contact shows late: the last levels of the run have not fallen", () => {
    const { cycles, said } = readEachSecond({ late_s: () => 3 });
    for (const { drainBack_m3 } of cycles) expect(drainBack_m3 ?? 0).toBeLessThan(1.5e-3);
    expect(said.findings).toEqual([]);
  });
});

it.each([1, 2, 3])("no water is back at once by a level that scatters by 8 mm, played %d", (seed) => {
  const random = seededRandom(seed);
  // In a storm, beside a contact that says either for a second after the stop.
  const late_s = () => (random.uniform() < 0.5 ? 0 : 1);
  const { cycles } = readEachSecond({ late_s, rise_m: 0.004, noise_m: () => random.normal(0.008) });
  expect(cycles.length).toBeGreaterThan(50);
  for (const { drainBack_m3 } of cycles) expect(drainBack_m3 ?? 0).toBe(0);
});

describe("water that readings far apart show by many stops together", () => {
  // Of every other stop a reading lies 9 L under where the rest goes back to.
  const rests = Array.from({ length: 30 }, (_, i) => ({ line_m3: 0.03, under_m3: i % 2 === 0 ? 0.009 : 0 }));
  const told_m3 = (pipeHolds_m3: number | null) =>
    toldReturn_m3({ seldom: { rests } }, null, { longInterval_s: 30, pipeHolds_m3 });

  it("is told as so much, but for what the discharge does not hold", () => {
    expect(told_m3(null)).toBeGreaterThan(0.008);
    expect(told_m3(0.02)).toBe(told_m3(null));
    expect(told_m3(0.004)).toBe(mostOfPipe * 0.004);
  });
});

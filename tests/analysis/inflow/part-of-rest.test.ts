import { describe, expect, it } from "vitest";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { analyse } from "../analyse.ts";
import { reading, smallSite, startTime_s } from "../small-basin.ts";

/** Between the floats of the small basin. */
const active_l = 20;
const run_s = 20;
const hour_s = 3600;

/**
 * A contact read every second, of rests that each begin with the basin at the stop. Litres per minute come in that fill it
 * over each rest, and go on coming in over the run after it.
 *
 * @param rests lengths in seconds; of the first and the last only so long a part is recorded
 */
function recording(rests: readonly { length_s: number; recorded_s?: number }[]) {
  const rows: Reading[] = [];
  let now_s = startTime_s;
  let brought_l = 0;
  const say = (pumpOn: boolean, length_s: number) => {
    for (const to_s = now_s + length_s; now_s < to_s; now_s += 1) rows.push(reading(now_s, { pumpOn }));
  };
  rests.forEach(({ length_s, recorded_s = length_s }, i) => {
    say(false, recorded_s);
    brought_l += (active_l * recorded_s) / length_s;
    if (i === rests.length - 1) return;
    say(true, run_s);
    brought_l += (active_l * run_s) / length_s;
  });
  return { rows, mean_lpm: brought_l / ((now_s - startTime_s) / 60) };
}

function meanOf(rows: readonly Reading[]) {
  const { mean_lpm, mean_u95_lpm } = analyse(smallSite, rows).summary.inflow;
  return { mean_lpm: mean_lpm ?? Number.NaN, u95_lpm: mean_u95_lpm ?? Number.NaN };
}

const storm = Array.from({ length: 60 }, () => ({ length_s: 100 }));

describe("rests that are not seen as a whole, without a level", () => {
  it("count in the mean: the dry hours before and after a storm would be missing", () => {
    const before = [{ length_s: 12 * hour_s, recorded_s: 7 * hour_s }, { length_s: 8 * hour_s }];
    const after = [{ length_s: 3 * hour_s }, { length_s: 30 * hour_s, recorded_s: 14 * hour_s }];
    const { rows, mean_lpm } = recording([...before, ...storm, ...after]);
    const said = meanOf(rows);
    // what is not known: which part of 20 L came in last, beside some 1300 L in all
    expect(Math.abs(said.mean_lpm / mean_lpm - 1)).toBeLessThan(0.012);
    expect(Math.abs(said.mean_lpm - mean_lpm)).toBeLessThan(said.u95_lpm);
  });

  it("may have brought any part of what lies between the floats, where they outlast the rest beside them", () => {
    const few = [{ length_s: 500, recorded_s: 100 }, { length_s: 500 }, { length_s: 500 }];
    for (const length_s of [5 * hour_s, 10 * hour_s, 40 * hour_s]) {
      const { rows, mean_lpm } = recording([...few, { length_s, recorded_s: 5 * hour_s }]);
      const said = meanOf(rows);
      expect(Math.abs(said.mean_lpm - mean_lpm)).toBeLessThan(said.u95_lpm);
      expect(said.u95_lpm).toBeLessThan(1.2 * (active_l / (5 * 60)));
    }
  });

  it("go on as the rest beside them where they are no longer, and say nothing else", () => {
    const steady = Array.from({ length: 9 }, () => ({ length_s: 1000 }));
    const { rows, mean_lpm } = recording([
      { length_s: 1000, recorded_s: 700 },
      ...steady,
      { length_s: 1000, recorded_s: 400 },
    ]);
    expect(Math.abs(meanOf(rows).mean_lpm / mean_lpm - 1)).toBeLessThan(0.005);
  });

  it("count in the mean where a gap parts each of them, until the first that is seen as a whole", () => {
    const dry = Array.from({ length: 5 }, () => ({ length_s: 3 * hour_s }));
    const { rows, mean_lpm } = recording([...dry, { length_s: 1.5 * hour_s }, ...storm, { length_s: 100 }]);
    const gap_s = hour_s / 2;
    const hasGap = (time_s: number) => {
      const sinceStop_s = (time_s - startTime_s) % (3 * hour_s + run_s);
      return time_s < startTime_s + 5 * 3 * hour_s && sinceStop_s > hour_s && sinceStop_s < hour_s + gap_s;
    };
    const lost_l = 5 * ((active_l * gap_s) / (3 * hour_s));
    const all_min = (rows.at(-1)?.time_s ?? 0) / 60 - startTime_s / 60;
    const seen_lpm = (mean_lpm * all_min - lost_l) / (all_min - (5 * gap_s) / 60);
    const said = meanOf(rows.filter(({ time_s }) => !hasGap(time_s)));
    // Without those 13 h of 17 it would be three times as high.
    expect(Math.abs(said.mean_lpm / seen_lpm - 1)).toBeLessThan(0.07);
    expect(Math.abs(said.mean_lpm - seen_lpm)).toBeLessThan(said.u95_lpm);
    expect(said.u95_lpm).toBeLessThan(0.2 * seen_lpm);
  });

  it("are left out where the supply was gone: then more came in than lies between the floats", () => {
    const { rows } = recording([{ length_s: 1000, recorded_s: 700 }, ...storm]);
    const last_s = rows.at(-1)?.time_s ?? 0;
    const outage: Reading[] = Array.from({ length: 4 * hour_s }, (_, i) =>
      reading(last_s + 1 + i, { pumpOn: false, mainsOn: false }),
    );
    const powered = rows.map((row) => ({ ...row, mainsOn: true }));
    const before = meanOf(powered).mean_lpm;
    expect(Math.abs(meanOf([...powered, ...outage]).mean_lpm / before - 1)).toBeLessThan(0.03);
  });
});

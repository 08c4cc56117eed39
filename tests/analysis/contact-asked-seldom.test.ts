// A contact that is asked by a clock of its own, more seldom than the level beside it: between its rows it says nothing.

import { describe, expect, it } from "vitest";
import type { Reading } from "../../analysis/readings/reading.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "./small-basin.ts";

const day_s = 86_400;
const rest_s = 907;
const run_s = 26;
const cycle_s = rest_s + run_s;
const cycles = Math.floor((2 * day_s) / cycle_s);
const inflow_m3s = (0.2 * area_m2) / rest_s;
const pumped_m3 = cycles * (0.2 * area_m2 + inflow_m3s * run_s);

const isOn = (after_s: number) => after_s % cycle_s >= rest_s;

function level_m(after_s: number): number {
  const phase_s = after_s % cycle_s;
  return phase_s < rest_s ? 0.1 + (0.2 * phase_s) / rest_s : 0.3 - (0.2 * (phase_s - rest_s)) / run_s;
}

type Says = (after_s: number) => Partial<Reading>;
const contact: Says = (after_s) => ({ pumpOn: isOn(after_s) });

/** Two days, with rows of the signal in those of the level, or of their own a moment later. */
function* asked(level_s: number, signal_s: number, says: Says, ownRows = false) {
  const random = seededRandom(8);
  for (let after_s = 0; after_s < 2 * day_s; after_s += level_s) {
    const level = { level_m: level_m(after_s) + random.normal(0.001) };
    const isAsked = after_s % signal_s === 0;
    if (isAsked && !ownRows) yield reading(startTime_s + after_s, { ...level, ...says(after_s) });
    else yield reading(startTime_s + after_s, level);
    if (isAsked && ownRows) yield reading(startTime_s + after_s + 1.5, says(after_s + 1.5));
  }
}

function expectAllSeen({ summary, figures }: ReturnType<typeof analyse>, mostLost: number) {
  expect(summary.findings).toEqual([]);
  expect(cycles - summary.totals.starts).toBeLessThanOrEqual(mostLost);
  expect(cycles - summary.totals.starts).toBeGreaterThanOrEqual(0);
  expect(Math.abs((summary.totals.pumped_l ?? 0) / (1000 * pumped_m3) - 1)).toBeLessThan(0.02);
  expect(Math.abs((figures.mean?.flow_m3s ?? 0) / inflow_m3s - 1)).toBeLessThan(0.005);
}

describe("a contact asked each minute beside a level each 10 s, of which it misses half of the runs", () => {
  it.each([false, true])("leaves the runs to the level, in rows of its own: %s", (ownRows) => {
    expectAllSeen(analyse(smallSite, asked(10, 60, contact, ownRows)), 4);
  });

  it("is called dead where it rests in run after run in which it was asked", () => {
    const { said } = analyse(
      smallSite,
      asked(10, 60, () => ({ pumpOn: false })),
    );
    expect(said.findings[0]?.finding.evidence).toMatchObject({ channel: "pump_on", problem: "frozen" });
  });

  it("says that the pump runs where a storm holds the water over its start, and no level shows it", () => {
    const storm_s = 20 * cycle_s + rest_s;
    const rows = [...asked(10, 60, contact)].filter(({ time_s }) => time_s - startTime_s < storm_s);
    const last_s = rows.at(-1)?.time_s ?? Number.NaN;
    for (let after_s = 10; after_s <= 1200; after_s += 10) {
      const level = { level_m: Math.min(0.4, 0.3 + 0.0002 * after_s) };
      rows.push(reading(last_s + after_s, after_s % 60 === 0 ? { ...level, pumpOn: true } : level));
    }
    const { situation, said } = analyse(smallSite, rows);
    expect(situation.pumpRunning).toBe(true);
    expect(said.findings.map(({ finding }) => finding.kind)).not.toContain("float-stuck-off");
  });

  it.each([
    ["with its rows", true],
    ["in rows that come on, blank", false],
  ])("stands in for a level that is gone %s", (_, ownRows) => {
    const gone = (after_s: number) => after_s > day_s && after_s < 1.5 * day_s;
    const rows = [...asked(10, 60, contact, ownRows)].flatMap((row) => {
      if (row.level_m === null || !gone(row.time_s - startTime_s)) return [row];
      return ownRows ? [] : [{ ...row, level_m: null }];
    });
    const { summary, figures } = analyse(smallSite, rows);
    expect(summary.findings).toMatchObject([{ kind: "sensor-fault", evidence: { channel: "level" } }]);
    // Half of those of that half day fall between two of its rows, but they are reckoned.
    expect(cycles - summary.totals.starts).toBeLessThan(0.1 * cycles);
    expect(Math.abs((figures.mean?.flow_m3s ?? 0) / inflow_m3s - 1)).toBeLessThan(0.05);
    expect(Math.abs((summary.totals.pumped_l ?? 0) / (1000 * pumped_m3) - 1)).toBeLessThan(0.05);
  });
});

describe("a contact asked each 5 s beside a level each second", () => {
  it("leaves the runs to the level: what it says is up to 5 s old", () => {
    const found = analyse(smallSite, asked(1, 5, contact));
    expectAllSeen(found, 2);
    // By the contact alone every fifth seems to last 30 s.
    const off = found.cycles.filter((cycle) => Math.abs(cycle.run_s - run_s) > 1.5);
    expect(off.length).toBeLessThan(0.02 * cycles);
  });
});

describe("a contact, and a float, asked some times more seldom than the level, that is dead from the second day on", () => {
  it.each([
    [1, 5, { pumpOn: false }, "pump_on"],
    [1, 3, { pumpOn: false }, "pump_on"],
    [2, 4, { pumpOn: false }, "pump_on"],
    [1, 5, { floatOn: false }, "float_on"],
  ] as const)(
    "is told, though a run is seen to be over some of its rows later: %d, %d, %o",
    (level_s, signal_s, dead, channel) => {
      const alive: Says = (after_s) => ("pumpOn" in dead ? { pumpOn: isOn(after_s) } : { floatOn: isOn(after_s) });
      const { said } = analyse(
        smallSite,
        asked(level_s, signal_s, (after_s) => (after_s > day_s ? dead : alive(after_s))),
      );
      expect(said.findings[0]?.finding.evidence).toMatchObject({ channel, problem: "frozen" });
    },
  );
});

describe("a motor's power asked each minute beside a level each 10 s", () => {
  it("leaves the runs to the level", () => {
    expectAllSeen(
      analyse(
        smallSite,
        asked(10, 60, (after_s) => ({ pumpPower_w: isOn(after_s) ? 620 : 1 })),
      ),
      6,
    );
  });
});

describe("a contact that is written when it changes, and again each minute, beside a level each 10 s", () => {
  it("tells when each run began and ended", () => {
    const rows = [...asked(10, 60, contact, true)];
    for (let i = 0; i < cycles; i += 1)
      for (const after_s of [i * cycle_s + rest_s, (i + 1) * cycle_s])
        rows.push(reading(startTime_s + after_s + 0.3, { pumpOn: isOn(after_s) }));
    const found = analyse(
      smallSite,
      rows.sort((a, b) => a.time_s - b.time_s),
    );
    expectAllSeen(found, 0);
    for (const { run_s: took_s } of found.cycles.slice(1)) expect(Math.abs(took_s - run_s)).toBeLessThan(0.5);
  });
});

// Dirt of the contacts: a pump signal that bounces or lies, a float that chatters, channels that stand still, and the
// high-water float against the level.

import { describe, expect, it } from "vitest";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { hour_s, levels, play, spoilt, startTime_s } from "./dirty-basin.ts";
import { expectSound, foundAt_h, judged, kinds } from "./judge-dirt.ts";

const quiet = play({ hours: 8 });

describe("a pump signal", () => {
  it("that bounces for a second at every switch makes no more cycles", () => {
    const edges = quiet.runs.flatMap(({ startedAt_s, stoppedAt_s }) => [startedAt_s, stoppedAt_s]);
    const bouncing = spoilt(quiet.readings, ({ time_s, pumpOn }) => {
      const edge = edges.find((at_s) => time_s > at_s + 1 && time_s <= at_s + 2);
      return edge === undefined || pumpOn === null ? {} : { pumpOn: !pumpOn };
    });
    const found = judged(bouncing, quiet);
    expect(kinds(found)).toEqual([]);
    expect(found.starts).toBe(quiet.runs.length);
    expectSound(found, quiet, 0.005, 0.05);
  });

  it("that flickers in one reading of three hundred makes no more cycles", () => {
    const random = seededRandom(3);
    const flickering = spoilt(quiet.readings, ({ pumpOn }) => (random.uniform() < 1 / 300 ? { pumpOn: !pumpOn } : {}));
    const found = judged(flickering, quiet);
    expect(kinds(found)).toEqual([]);
    expectSound(found, quiet, 0.005, 0.05);
  });

  it.each([0.5, 1, 4])(
    "that stays at 'runs' from a run on, at %d L/min, is found out within half an hour",
    (flow_lpm) => {
      const slow = play({ hours: flow_lpm < 2 ? 24 : 8, sample_s: 2, inflow_lpm: () => flow_lpm });
      const from_s = slow.runs[slow.runs.length >> 1]?.startedAt_s ?? Number.NaN;
      const stuck = spoilt(slow.readings, ({ time_s, pumpOn }) => ({ pumpOn: time_s > from_s ? true : pumpOn }));
      const found = judged(stuck, slow, 20);
      expect(kinds(found)).toEqual(["sensor-fault pump_on"]);
      expect(found.findings[0]?.evidence.problem).toBe("frozen");
      expect(foundAt_h(found, "sensor-fault") - (from_s - startTime_s) / hour_s).toBeLessThan(0.5);
      // The run in which it stuck has no end; the others are read off the level.
      expect(found.missed.length).toBeLessThanOrEqual(1);
      expect(found.invented).toEqual([]);
      expect(Math.abs((found.mean_lpm ?? 0) / flow_lpm - 1)).toBeLessThan(0.03);
    },
  );

  it.each([true, false])(
    "that says %s from the first reading on raises no other finding before it is found out",
    (stuckAt) => {
      const found = judged(
        spoilt(quiet.readings, () => ({ pumpOn: stuckAt })),
        quiet,
        20,
      );
      expect(kinds(found)).toEqual(["sensor-fault pump_on"]);
      expect(foundAt_h(found, "sensor-fault")).toBeLessThan(1);
      expect(found.missed.length).toBeLessThanOrEqual(5);
      expect(Math.abs((found.mean_lpm ?? 0) / 4 - 1)).toBeLessThan(0.03);
    },
  );

  it("by the motor's current that stays at its last value is named by its own channel", () => {
    const from_s = quiet.runs[20]?.startedAt_s ?? Number.NaN;
    const stuck = spoilt(quiet.readings, ({ time_s, pumpCurrent_a }) => ({
      pumpOn: null,
      pumpCurrent_a: time_s > from_s + 3 ? 5.21 : pumpCurrent_a,
    }));
    expect(kinds(judged(stuck, quiet, 20))).toEqual(["sensor-fault pump_current_a"]);
  });
});

describe("a float", () => {
  it("that chatters at its trip point is said to, and the runs are still one each", () => {
    const chattering = spoilt(quiet.readings, ({ time_s }, t_s) => {
      const run = quiet.runs.find(({ startedAt_s }) => time_s >= startedAt_s - 60 && time_s < startedAt_s);
      return t_s > 2 * hour_s && run !== undefined ? { pumpOn: time_s % 2 === 0 } : {};
    });
    const found = judged(chattering, quiet);
    expect(kinds(found)).toEqual(["short-cycling"]);
    expect(found.findings[0]?.evidence.cause).toBe("float-chatter");
    expectSound(found, quiet, 0.01, 0.1);
  });

  it("whose contact stands still while the pump goes on and off is said to, and changes no figure", () => {
    const found = judged(
      spoilt(quiet.readings, (_, t_s) => (t_s > 2 * hour_s ? { floatOn: false } : {})),
      quiet,
    );
    expect(kinds(found)).toEqual(["sensor-fault float_on"]);
    expect(found.findings[0]?.evidence.problem).toBe("frozen");
    expect(foundAt_h(found, "sensor-fault")).toBeLessThan(3.5);
    expectSound(found, quiet, 0.005);
  });
});

describe("a motor's current beside a contact", () => {
  it.each([0, 5.21])("that stays at %d A is said to be frozen", (current_a) => {
    const found = judged(
      spoilt(quiet.readings, (_, t_s) => (t_s > 2 * hour_s ? { pumpCurrent_a: current_a } : {})),
      quiet,
    );
    expect(kinds(found)).toEqual(["sensor-fault pump_current_a"]);
    expectSound(found, quiet, 0.005);
  });
});

describe("a contact that watches the supply", () => {
  it("and says that there is none while the pump goes on and off is said to contradict it, and no power is lost for long", () => {
    const found = judged(
      spoilt(quiet.readings, (_, t_s) => (t_s > 2 * hour_s ? { mainsOn: false } : {})),
      quiet,
    );
    expect(kinds(found).sort()).toEqual(["power-lost", "sensor-fault mains_on"]);
    expect(foundAt_h(found, "sensor-fault", { problem: "contradicted" })).toBeLessThan(3);
    const lost = found.findings.find(({ kind }) => kind === "power-lost");
    expect(((lost?.to_s ?? Number.NaN) - (lost?.from_s ?? Number.NaN)) / hour_s).toBeLessThan(1);
    expectSound(found, quiet, 0.005);
  });

  it("and says so in a real outage, with the pump at rest, is believed", () => {
    const dark = play({ hours: 2, sample_s: 2 });
    const cut = spoilt(dark.readings, (_, t_s) => (t_s > hour_s && t_s < hour_s + 300 ? { mainsOn: false } : {}));
    expect(kinds(judged(cut, dark))).toEqual(["power-lost"]);
  });
});

describe("the high-water float against the level", () => {
  it("is said to be stuck when it stays lifted for more than an hour over low water; high water is told all the same", () => {
    const found = judged(
      spoilt(quiet.readings, (_, t_s) => (t_s > 2 * hour_s ? { highFloat: true } : {})),
      quiet,
    );
    expect(kinds(found).sort()).toEqual(["high-water", "sensor-fault high_float"]);
    expect(foundAt_h(found, "sensor-fault", { problem: "stuck-on" })).toBeCloseTo(2, 1);
  });

  it("is said to hang when the water stands far above it for minutes", () => {
    const flooded = play({ hours: 6, inflow_lpm: (t_s) => (t_s > 3 * hour_s && t_s < 3.5 * hour_s ? 124 : 4) });
    const found = judged(
      spoilt(flooded.readings, () => ({ highFloat: false })),
      flooded,
      60,
    );
    expect(kinds(found)).toContain("high-water");
    expect(foundAt_h(found, "sensor-fault", { channel: "high_float", problem: "stuck-off" })).toBeLessThan(3.6);
  });

  it("is not doubted in a flood in which it lifts", () => {
    const flooded = play({ hours: 6, inflow_lpm: (t_s) => (t_s > 3 * hour_s && t_s < 3.5 * hour_s ? 124 : 4) });
    expect(kinds(judged(flooded.readings, flooded, 60)).filter((kind) => kind.startsWith("sensor"))).toEqual([]);
  });
});

describe("a thermometer", () => {
  it("that gives the code of a failed measurement is said to, and one bad reading is not", () => {
    const failed = spoilt(quiet.readings, (_, t_s) => (t_s > 2 * hour_s ? { temperature_c: -127 } : {}));
    const found = judged(failed, quiet);
    expect(kinds(found)).toEqual(["sensor-fault temperature_c"]);
    expect(found.findings[0]?.evidence.problem).toBe("out-of-range");
    const once = spoilt(quiet.readings, (_, t_s) => (t_s === 2 * hour_s ? { temperature_c: 85 } : {}));
    expect(kinds(judged(once, quiet))).toEqual([]);
  });
});

describe("all of it at once", () => {
  it("leaves the level's dirt and the contact's apart", () => {
    const frozen = levels(quiet.readings, (level_m, t_s) => (t_s > 6 * hour_s ? 6.5535 : level_m));
    const found = judged(
      spoilt(frozen, (_, t_s) => (t_s > 2 * hour_s ? { floatOn: false } : {})),
      quiet,
    );
    expect(kinds(found).sort()).toEqual(["sensor-fault float_on", "sensor-fault level"]);
    expect(found.missed).toEqual([]);
  });
});

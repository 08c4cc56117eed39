// Dirt of the level sensor: what it says that is not so, for a moment or for long.

import { describe, expect, it } from "vitest";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { hour_s, levels, play, spoilt, startTime_s } from "./dirty-basin.ts";
import { expectSound, foundAt_h, judged, kinds } from "./judge-dirt.ts";

const quiet = play({ hours: 8 });

describe("a level sensor", () => {
  it("that is well has nothing said of it", () => {
    const found = judged(quiet.readings, quiet);
    expect(kinds(found)).toEqual([]);
    expectSound(found, quiet, 0.005);
  });

  it("with spikes of 50 mm in 2 % of its readings loses no cycle and half a per cent of the inflow at most", () => {
    const random = seededRandom(11);
    const spiked = levels(quiet.readings, (level_m) =>
      random.uniform() < 0.02 ? level_m + (random.uniform() < 0.5 ? 0.05 : -0.05) : level_m,
    );
    const found = judged(spiked, quiet);
    expect(kinds(found)).toEqual([]);
    expectSound(found, quiet, 0.005);
  });

  it.each([1, 5])(
    "read every %d s, with up to three spikes of 50 to 150 mm in a row makes no peak of them, and leaves no rest without its inflow",
    (sample_s) => {
      const played = play({ hours: 48, sample_s });
      for (const seed of [12, 13, 14]) {
        const random = seededRandom(seed);
        let left = 0;
        const spiked = levels(played.readings, (level_m) => {
          if (left > 0) left -= 1;
          else if (random.uniform() < 0.0075) left = 1 + Math.floor(3 * random.uniform());
          const off_m = 0.05 + 0.1 * random.uniform();
          return left > 0 ? level_m + (random.uniform() < 0.5 ? off_m : -off_m) : level_m;
        });
        const found = judged(spiked, played, sample_s);
        expectSound(found, played, 0.002);
        expect(found.cycles.filter(({ inflow }, i) => i > 0 && inflow === null)).toEqual([]);
        for (const window of ["60", "600", "3600"] as const) expect(found.peak_lpm(window)).toBeLessThan(4.2);
      }
    },
  );

  it.each([
    [10, 4.4],
    [30, 5.2],
  ])(
    "read every %d s, that holds its last reading for up to ten, one time in a hundred, makes no leap of the next: neither a peak nor a leak",
    (sample_s, most_lpm) => {
      const random = seededRandom(19);
      const played = play({ hours: 48, sample_s });
      let [held, last_m] = [0, 0];
      const holding = levels(played.readings, (level_m) => {
        if (held > 0) held -= 1;
        else if (random.uniform() < 0.01) held = Math.floor(10 * random.uniform());
        else last_m = level_m;
        return last_m;
      });
      const found = judged(holding, played, sample_s);
      expect(kinds(found)).toEqual([]);
      expect(Math.abs((found.mean_lpm ?? 0) / 4 - 1)).toBeLessThan(0.02);
      expect(found.peak_lpm("600")).toBeLessThan(most_lpm);
    },
  );

  it("that drops out for two minutes every 33 is told once", () => {
    const silent = spoilt(quiet.readings, (_, t_s) => (t_s % 2000 < 120 ? { level_m: null } : {}));
    const found = judged(silent, quiet);
    expect(kinds(found)).toEqual(["sensor-fault level"]);
    expect(found.missed).toEqual([]);
  });

  it("that freezes for two hours is said to be frozen within the quarter of an hour, and its hours make no inflow", () => {
    let last_m = 0;
    const frozen = levels(quiet.readings, (level_m, t_s) => {
      if (t_s < 3 * hour_s || t_s >= 5 * hour_s) last_m = level_m;
      return last_m;
    });
    const found = judged(frozen, quiet);
    expect(kinds(found)).toEqual(["sensor-fault level"]);
    expect(foundAt_h(found, "sensor-fault", { problem: "frozen" })).toBeGreaterThan(3);
    expect(foundAt_h(found, "sensor-fault", { problem: "frozen" })).toBeLessThan(3.3);
    expect(found.missed).toEqual([]);
    expect(Math.abs((found.mean_lpm ?? 0) / 4 - 1)).toBeLessThan(0.02);
  });

  it.each([
    [1, 0.26],
    [10, 0.2],
  ])(
    "read every %d s, that comes to a standstill at %d m but for its noise is said to be frozen, and the floats tell the rest",
    (sample_s, at_m) => {
      const random = seededRandom(16);
      const played = play({ hours: 12, sample_s });
      const found = judged(
        levels(played.readings, (level_m, t_s) =>
          t_s > 4 * hour_s && t_s < 9 * hour_s ? at_m + random.normal(0.0015) : level_m,
        ),
        played,
        15,
      );
      expect(kinds(found)).toEqual(["sensor-fault level"]);
      expect(foundAt_h(found, "sensor-fault", { problem: "frozen" })).toBeLessThan(4.7);
      expect(found.missed).toEqual([]);
      expect(found.invented).toEqual([]);
      expect(Math.abs((found.mean_lpm ?? 0) / 4 - 1)).toBeLessThan(0.02);
      expect(found.peak_lpm("600")).toBeLessThan(4.2);
    },
  );

  it("that lies on the bench for the first three hours makes no hours without inflow, and no flood when it is dropped in", () => {
    const random = seededRandom(17);
    const played = play({ hours: 12 });
    const found = judged(
      levels(played.readings, (level_m, t_s) => (t_s < 3 * hour_s ? 0.001 + random.normal(0.0005) : level_m)),
      played,
    );
    expect(kinds(found)).toEqual(["sensor-fault level"]);
    expect(Math.abs((found.mean_lpm ?? 0) / 4 - 1)).toBeLessThan(0.02);
    expect(found.peak_lpm("600")).toBeLessThan(4.2);
  });

  it.each([1, 5])(
    "alone, read every %d s, that lies on the bench at first makes no hours without inflow, and no flood either",
    (sample_s) => {
      const random = seededRandom(18);
      const played = play({ hours: 12, sample_s });
      const benched = levels(played.readings, (level_m, t_s) =>
        t_s < 3 * hour_s ? 0.001 + random.normal(0.0005) : level_m,
      );
      const silent = { pumpOn: null, floatOn: null, pumpCurrent_a: null, highFloat: null };
      const found = judged(
        spoilt(benched, () => silent),
        played,
        8,
      );
      expect(kinds(found)).toEqual([]);
      expect(Math.abs((found.mean_lpm ?? 0) / 4 - 1)).toBeLessThan(0.01);
      for (const window of ["60", "600", "3600"] as const) expect(found.peak_lpm(window)).toBeLessThan(4.1);
    },
  );

  it("that is stuck at one value from the first reading on is said to be frozen; the floats' levels give the inflow", () => {
    const found = judged(
      levels(quiet.readings, () => 0.2),
      quiet,
    );
    expect(kinds(found)).toEqual(["sensor-fault level"]);
    expect(found.missed).toEqual([]);
    // By the volume between the floats, 32 L, of which 0.4 L ran back.
    expect(found.mean_lpm).toBeGreaterThan(3.9);
    expect(found.mean_lpm).toBeLessThan(4.15);
  });

  it.each([
    [1, "with a contact"],
    [1, "alone"],
    [10, "with a contact"],
    [10, "alone"],
  ])("read every %d s, %s, that reads 100 mm too high for three minutes makes no peak", (sample_s, by) => {
    const played = play({ hours: 8, sample_s });
    const stop_s =
      (played.runs.find(({ stoppedAt_s }) => stoppedAt_s > startTime_s + 4 * hour_s)?.stoppedAt_s ?? 0) - startTime_s;
    const leapt = levels(played.readings, (level_m, t_s) =>
      t_s > stop_s + 150 && t_s < stop_s + 330 ? level_m + 0.1 : level_m,
    );
    const silent = { pumpOn: null, floatOn: null, pumpCurrent_a: null, highFloat: null };
    const found = judged(by === "alone" ? spoilt(leapt, () => silent) : leapt, played, 15);
    for (const window of ["60", "600", "3600"] as const) expect(found.peak_lpm(window)).toBeLessThan(4.1);
    expect(found.missed).toEqual([]);
    expect(found.invented).toEqual([]);
  });

  it.each([
    [1, "with a contact", 0.1],
    [1, "with a contact", -0.06],
    [1, "alone", 0.05],
    [10, "with a contact", 0.1],
    [10, "with a contact", -0.06],
    [10, "alone", 0.05],
  ])(
    "read every %d s, %s, that leaps by %d m in one rest and back in a later one makes no inflow",
    (sample_s, by, by_m) => {
      const played = play({ hours: 8, sample_s });
      const stops_s = played.runs.map(({ stoppedAt_s }) => stoppedAt_s - startTime_s);
      const first = stops_s.findIndex((stop_s) => stop_s > 4 * hour_s);
      const [from_s = 0, to_s = 0] = [stops_s[first], stops_s[first + 3]];
      const leapt = levels(played.readings, (level_m, t_s) =>
        t_s > from_s + 200 && t_s < to_s + 200 ? level_m + by_m : level_m,
      );
      const silent = { pumpOn: null, floatOn: null, pumpCurrent_a: null, highFloat: null };
      const found = judged(by === "alone" ? spoilt(leapt, () => silent) : leapt, played, 15);
      for (const window of ["60", "600", "3600"] as const) expect(found.peak_lpm(window)).toBeLessThan(4.1);
      expectSound(found, played, 0.005, 0.05);
    },
  );

  it.each([
    [1, "alone"],
    [10, "alone"],
    [10, "with a contact"],
  ])(
    "read every %d s, %s, that hangs out of the water for minutes makes no peak when it is hung back",
    (sample_s, by) => {
      const played = play({ hours: 8, sample_s });
      const run = played.runs.find(({ stoppedAt_s }) => stoppedAt_s > startTime_s + 4 * hour_s);
      const stop_s = (run?.stoppedAt_s ?? 0) - startTime_s;
      const lifted = levels(played.readings, (level_m, t_s) =>
        t_s > stop_s + 120 && t_s < stop_s + 260 ? 0.004 : level_m,
      );
      const silent = { pumpOn: null, floatOn: null, pumpCurrent_a: null, highFloat: null };
      const found = judged(by === "alone" ? spoilt(lifted, () => silent) : lifted, played, 15);
      for (const window of ["60", "600", "3600"] as const) expect(found.peak_lpm(window)).toBeLessThan(4.1);
      expect(found.missed).toEqual([]);
      expect(found.invented).toEqual([]);
    },
  );

  it("that is well and sees a bucket of 10 L poured in counts it", () => {
    const { runs } = quiet;
    const stop_s =
      (runs.find(({ stoppedAt_s }) => stoppedAt_s > startTime_s + 4 * hour_s)?.stoppedAt_s ?? 0) - startTime_s;
    const poured = play({ hours: 8, inflow_lpm: (t_s) => (t_s > stop_s + 150 && t_s < stop_s + 156 ? 100 : 4) });
    const found = judged(poured.readings, poured);
    // 10 L in six seconds, and 4 L/min for the rest of the minute.
    expect(Math.abs((found.peak_lpm("60") ?? 0) - 13.6)).toBeLessThan(0.35);
    expect(Math.abs((found.mean_lpm ?? 0) / poured.meanInflow_lpm - 1)).toBeLessThan(0.003);
  });

  it.each([
    [1, "with a contact"],
    [5, "alone"],
  ])("read every %d s, %s, that sees a bucket poured in keeps it when as much is scooped out later", (sample_s, by) => {
    const { runs } = play({ hours: 10, sample_s });
    const after_s = (h: number) =>
      (runs.find(({ stoppedAt_s }) => stoppedAt_s > startTime_s + h * hour_s)?.stoppedAt_s ?? 0) - startTime_s;
    const pours_s = after_s(4) + 150;
    const scoops_s = after_s(6) + 100;
    const flow_lpm = (t_s: number) =>
      t_s > pours_s && t_s < pours_s + 6 ? 100 : t_s > scoops_s && t_s < scoops_s + 6 ? -96 : 4;
    const played = play({ hours: 10, sample_s, inflow_lpm: flow_lpm });
    const silent = { pumpOn: null, floatOn: null, pumpCurrent_a: null, highFloat: null };
    const found = judged(by === "alone" ? spoilt(played.readings, () => silent) : played.readings, played, 8);
    expect(Math.abs((found.peak_lpm("60") ?? 0) - 13.6)).toBeLessThan(0.5);
  });

  it("alone, that stands still for two hours but for its noise and then goes on as it should, leapt by no water", () => {
    const played = play({ hours: 12 });
    const random = seededRandom(20);
    const after_s = (h: number) =>
      (played.runs.find(({ stoppedAt_s }) => stoppedAt_s > startTime_s + h * hour_s)?.stoppedAt_s ?? 0) - startTime_s;
    const [stands_s, wakes_s] = [after_s(4) + 100, after_s(6) + 350];
    const stood = levels(played.readings, (level_m, t_s) =>
      t_s > stands_s && t_s < wakes_s ? 0.19 + random.normal(0.0015) : level_m,
    );
    const silent = { pumpOn: null, floatOn: null, pumpCurrent_a: null, highFloat: null };
    const found = judged(
      spoilt(stood, () => silent),
      played,
    );
    expect(Math.abs((found.mean_lpm ?? 0) / 4 - 1)).toBeLessThan(0.01);
    for (const window of ["60", "600", "3600"] as const) expect(found.peak_lpm(window)).toBeLessThan(4.1);
  });

  it("out of the water for hours is told so until it is hung back, which makes no peak", () => {
    const played = play({ hours: 12, sample_s: 5 });
    const stop_s =
      (played.runs.find(({ stoppedAt_s }) => stoppedAt_s > startTime_s + 4 * hour_s)?.stoppedAt_s ?? 0) - startTime_s;
    const random = seededRandom(19);
    const lifted = levels(played.readings, (level_m, t_s) =>
      t_s > stop_s + 120 && t_s < stop_s + 120 + 3 * hour_s ? 0.003 + random.normal(0.0005) : level_m,
    );
    const found = judged(lifted, played, 8);
    expect(kinds(found)).toEqual(["sensor-fault level"]);
    expect(found.findings[0]?.to_s).toBeGreaterThan(startTime_s + stop_s + 3 * hour_s);
    for (const window of ["60", "600", "3600"] as const) expect(found.peak_lpm(window)).toBeLessThan(4.3);
  });

  it("that drops out for forty seconds at a time in a storm makes no rise within a run of what the water rose before", () => {
    const stormy = play({ hours: 3, inflow_lpm: () => 105 });
    const found = judged(
      levels(stormy.readings, (level_m, t_s) => (t_s % 233 < 41 ? null : level_m)),
      stormy,
    );
    expect(kinds(found)).not.toContain("inflow-exceeds-pump");
  });

  it("that drops out for forty seconds at a time in a storm leaves an hour's peak that it can be at least", () => {
    const flow_lpm = (t_s: number) => (t_s > 4 * hour_s && t_s < 6 * hour_s ? 90 : 4);
    const stormy = play({ hours: 10, inflow_lpm: flow_lpm });
    const found = judged(
      levels(stormy.readings, (level_m, t_s) => (flow_lpm(t_s) > 4 && t_s % 233 < 41 ? null : level_m)),
      stormy,
    );
    expect(found.peak_lpm("3600")).toBeGreaterThan(0.7 * 90);
    expect(found.peak_lpm("3600")).toBeLessThan(1.03 * 90);
  });

  it("that is silent, contact and all, at the height of a storm leaves its peaks as what came in at least", () => {
    const stormy = play({
      hours: 12,
      inflow_lpm: (t_s) => 4 + 60 * Math.max(0, 1 - Math.abs(t_s / hour_s - 6)),
    });
    const rows = stormy.readings.filter(({ time_s }) => Math.abs((time_s - startTime_s) / hour_s - 6) > 0.4);
    expect(judged(rows, stormy).atLeast).toEqual(["60", "600", "3600"]);
    expect(judged(stormy.readings, stormy).atLeast).toEqual([]);
    const calm = quiet.readings.filter(({ time_s }) => Math.abs((time_s - startTime_s) / hour_s - 5) > 1);
    expect(judged(calm, quiet).atLeast).toEqual([]);
  });

  it("that drops out for some seconds now and then loses nothing", () => {
    const random = seededRandom(12);
    let until_s = 0;
    const dropping = levels(quiet.readings, (level_m, t_s) => {
      if (random.uniform() < 1 / 2000) until_s = t_s + 5;
      return t_s < until_s ? null : level_m;
    });
    const found = judged(dropping, quiet);
    expect(kinds(found)).toEqual([]);
    expectSound(found, quiet, 0.005);
  });

  it("that drops out half of the time is said to, and what it does say is used", () => {
    const dropping = levels(quiet.readings, (level_m, t_s) =>
      t_s > 4 * hour_s && t_s < 6 * hour_s && t_s % 60 < 30 ? null : level_m,
    );
    const found = judged(dropping, quiet);
    expect(kinds(found)).toEqual(["sensor-fault level"]);
    expect(found.findings[0]?.evidence.problem).toBe("dropping-out");
    expectSound(found, quiet, 0.01);
  });

  it.each([
    ["6553.5 mm", 6.5535],
    ["-999 mm", -0.999],
  ])("that gives the code %s for an hour is said to be out of range, and no code becomes water", (_, code_m) => {
    const coded = levels(quiet.readings, (level_m, t_s) => (t_s > 4 * hour_s && t_s < 5 * hour_s ? code_m : level_m));
    const found = judged(coded, quiet);
    expect(kinds(found)).toEqual(["sensor-fault level"]);
    expect(found.findings[0]?.evidence.problem).toBe("out-of-range");
    expectSound(found, quiet, 0.01);
  });

  it("with foam under it is said to jump about, and its jumps make no fault of the pump's signal", () => {
    const random = seededRandom(15);
    const foam = levels(quiet.readings, (level_m, t_s) =>
      t_s > 4 * hour_s && t_s < 5.5 * hour_s ? level_m + Math.abs(random.normal(0.08)) : level_m,
    );
    const found = judged(foam, quiet);
    expect(kinds(found)).toEqual(["sensor-fault level"]);
    expect(found.findings[0]?.evidence.problem).toBe("implausible");
    expect(found.missed).toEqual([]);
  });

  it("that gives a code in one reading of two hundred has it left out in silence", () => {
    const random = seededRandom(13);
    const coded = levels(quiet.readings, (level_m) => (random.uniform() < 0.005 ? 6.5535 : level_m));
    const found = judged(coded, quiet);
    expect(kinds(found)).toEqual([]);
    expectSound(found, quiet, 0.005);
  });
});

describe("the zero and the span of a level sensor, held against the float's trips", () => {
  const day = play({ hours: 24, sample_s: 2 });

  it("are not doubted while the reading wanders by 2 mm over hours and the float scatters by 8 mm", () => {
    for (const seed of [1, 2, 3]) {
      const random = seededRandom(seed, 5);
      const loose = play({ hours: 24, sample_s: 5, seed, float_m: 0.008 });
      let wander_m = random.normal(0.002);
      const kept = Math.exp(-5 / (3 * hour_s));
      const wandering = levels(loose.readings, (level_m) => {
        wander_m = kept * wander_m + random.normal(0.002 * Math.sqrt(1 - kept * kept));
        return level_m + wander_m;
      });
      expect(kinds(judged(wandering, loose, 8))).toEqual([]);
    }
  });

  it("are not doubted by a storm, whose water overshoots the trips", () => {
    const storm = play({ hours: 12, inflow_lpm: (t_s) => (t_s > 6 * hour_s && t_s < 9 * hour_s ? 60 : 4) });
    expect(kinds(judged(storm.readings, storm))).toEqual(["short-cycling"]);
  });

  it.each([0.02, -0.02])(
    "show a sensor that is set anew in mid-week, by %d m, until the new trips are learned",
    (by_m) => {
      const rezeroed = levels(day.readings, (level_m, t_s) => level_m + (t_s > 10 * hour_s ? by_m : 0));
      const found = judged(rezeroed, day);
      expect(kinds(found)).toEqual(["sensor-fault level"]);
      const [fault] = found.findings;
      expect(fault?.evidence).toMatchObject({ problem: "re-zeroed", inflow_error_share: 0 });
      expect(Math.abs(Number(fault?.evidence.shift_m) - by_m)).toBeLessThan(0.004);
      expect(Math.abs(foundAt_h(found, "sensor-fault") - 10)).toBeLessThan(2);
      expect(fault?.to_s).not.toBeNull();
      // Between straight walls a shift changes no inflow, but in the rest in which it comes.
      expectSound(found, day, 0.005, 0.15);
    },
  );

  it("show a zero that drifts by 1 mm in an hour before it is 18 mm off, and how far it has come", () => {
    const drifting = levels(day.readings, (level_m, t_s) => level_m - 0.001 * (t_s / hour_s));
    const found = judged(drifting, day);
    expect(kinds(found)).toEqual(["sensor-fault level"]);
    expect(found.findings[0]?.evidence.problem).toBe("zero-drift");
    expect(found.findings[0]?.to_s).toBeNull();
    expect(foundAt_h(found, "sensor-fault")).toBeLessThan(18);
    expect(Number(found.findings[0]?.evidence.shift_m)).toBeLessThan(-0.015);
    expectSound(found, day, 0.005, 0.1);
  });

  it.each([1.06, 0.94])("show a span that is off by a factor of %d, and by how much the inflow is wrong", (factor) => {
    const stretched = levels(day.readings, (level_m, t_s) => level_m * (t_s > 10 * hour_s ? factor : 1));
    const found = judged(stretched, day);
    expect(kinds(found)).toEqual(["sensor-fault level"]);
    const [fault] = found.findings;
    expect(fault?.evidence.problem).toBe("span-drift");
    expect(Math.abs(Number(fault?.evidence.inflow_error_share) - (factor - 1))).toBeLessThan(0.02);
    expect(foundAt_h(found, "sensor-fault")).toBeLessThan(14);
  });

  it("are not blamed for a float that was tied higher: the pump moves what it did", () => {
    const tied = play({ hours: 24, sample_s: 2, start_m: (t_s) => (t_s > 10 * hour_s ? 0.36 : 0.33) });
    expect(kinds(judged(tied.readings, tied))).toEqual([]);
  });
});

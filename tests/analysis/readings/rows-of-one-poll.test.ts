import { describe, expect, it } from "vitest";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { endPoll, joinRows, newPoll } from "../../../analysis/readings/rows-of-one-poll.ts";
import { reading } from "../small-basin.ts";

const known = { highFloat: null, mainsOn: true };

function readingsOf(rows: readonly Reading[]): Reading[] {
  const state = newPoll();
  const handedOn: Reading[] = [];
  for (const row of rows) joinRows(state, row, known, (one) => handedOn.push({ ...one }));
  endPoll(state, (one) => handedOn.push({ ...one }));
  return handedOn;
}

const times = (many: number, every_s: number) => Array.from({ length: many }, (_, i) => i * every_s);

describe("joinRows", () => {
  it("makes one reading of the rows of one poll, at the time of the last, once it has seen a few", () => {
    const rows = times(20, 5).flatMap((t) => [
      reading(t, { level_m: 0.2 + t / 1000 }),
      reading(t + 0.3, { pumpOn: false }),
      reading(t + 0.5, { temperature_c: 12 }),
    ]);
    const readings = readingsOf(rows);
    expect(readings.slice(-14)).toEqual(
      times(20, 5)
        .slice(-14)
        .map((t) => reading(t + 0.5, { level_m: 0.2 + t / 1000, pumpOn: false, temperature_c: 12 })),
    );
  });

  it("waits for no row that does not come", () => {
    const rows = times(20, 5).flatMap((t) => [
      reading(t, { level_m: 0.2 }),
      ...(t === 60 ? [] : [reading(t + 0.3, { pumpOn: false })]),
    ]);
    const readings = readingsOf(rows);
    expect(readings.filter(({ time_s }) => time_s >= 60 && time_s < 70)).toEqual([
      reading(60, { level_m: 0.2 }),
      reading(65.3, { level_m: 0.2, pumpOn: false }),
    ]);
  });

  it("leaves rows alone that say when the pump switches, whole rows, and those half-way between others", () => {
    const switches = times(60, 1).flatMap((t) => [
      reading(t, { level_m: 0.2 }),
      ...(t % 7 === 0 ? [reading(t + 0.4, { pumpOn: t % 2 === 0 })] : []),
    ]);
    const whole = times(60, 1).map((t) => reading(t, { level_m: 0.2, pumpOn: false }));
    const between = times(60, 1.2).flatMap((t) => [reading(t, { level_m: 0.2 }), reading(t + 0.65, { pumpOn: false })]);
    for (const rows of [switches, whole, between]) expect(readingsOf(rows)).toEqual(rows);
  });

  it("lets nothing wait that is no part of a poll: a high float that lifts between two of them", () => {
    const rows = times(20, 60).flatMap((t) => [
      reading(t, { level_m: 0.2 }),
      reading(t + 0.3, { pumpOn: false }),
      ...(t === 1080 ? [reading(t + 20, { highFloat: true })] : []),
    ]);
    const lifts = rows.findIndex(({ highFloat }) => highFloat === true);
    const state = newPoll();
    const handedOn: Reading[] = [];
    for (const row of rows.slice(0, lifts + 1)) joinRows(state, row, known, (one) => handedOn.push({ ...one }));
    expect(handedOn.at(-1)).toEqual(reading(1100, { highFloat: true }));
    const after = readingsOf(rows).at(-1);
    expect(after).toEqual(reading(1140.3, { level_m: 0.2, pumpOn: false }));
  });

  it("begins no poll with temperature or rain, which come among whole rows when they come", () => {
    const state = newPoll();
    for (const row of [reading(0, { level_m: 0.2, pumpOn: false }), reading(0.5, { temperature_c: 12 })])
      joinRows(state, row, known, () => undefined);
    expect(state.said).toBe(0);
  });

  it("joins no rows that say the same thing twice", () => {
    const rows = times(60, 5).flatMap((t) => [reading(t, { level_m: 0.2 }), reading(t + 0.4, { level_m: 0.21 })]);
    expect(readingsOf(rows)).toEqual(rows);
  });

  it("lets a supply that goes wait for nothing, though polls speak of it, nor the poll after it", () => {
    const poll = (t: number) => [
      reading(t, { level_m: 0.2 }),
      reading(t + 0.2, { pumpOn: false }),
      reading(t + 0.4, { mainsOn: true }),
    ];
    const gone = [reading(1170, { mainsOn: false }), reading(1140.8, { mainsOn: false })];
    for (const goes of gone) {
      const state = newPoll();
      const handedOn: Reading[] = [];
      const take = (row: Reading) => joinRows(state, row, known, (one) => handedOn.push({ ...one }));
      for (const row of [...times(20, 60).flatMap(poll), goes]) take(row);
      expect(handedOn.at(-1)).toEqual(goes);
      for (const row of poll(1200)) take(row);
      expect(handedOn.at(-1)).toEqual(reading(1200.4, { level_m: 0.2, pumpOn: false, mainsOn: true }));
    }
  });
});

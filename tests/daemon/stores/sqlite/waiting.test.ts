import { describe, expect, it } from "vitest";
import { silentReading } from "../../../../analysis/readings/reading.ts";
import { freeze } from "../../../../daemon/stores/sqlite/checkpoint-table.ts";
import { giveUpOldest, nothingWaiting } from "../../../../daemon/stores/sqlite/waiting.ts";

function waitingReadings(count: number) {
  const waiting = nothingWaiting();
  for (let i = 0; i < count; i++) waiting.readings.push({ ...silentReading, time_s: i });
  return waiting;
}

describe("giveUpOldest", () => {
  it("gives up nothing within the bound", () => {
    const waiting = waitingReadings(200);
    expect(giveUpOldest(waiting, 200, 0)).toBe(0);
    expect(waiting.readings).toHaveLength(200);
  });

  it("gives up the oldest, and a hundredth of the bound at once", () => {
    const waiting = waitingReadings(201);
    expect(giveUpOldest(waiting, 200, 0)).toBe(3); // 1 too many, and 200 / 100
    expect(waiting.readings[0]?.time_s).toBe(3);
    expect(waiting.readings.at(-1)?.time_s).toBe(200);
  });

  it("leaves what is on the card", () => {
    const waiting = waitingReadings(201);
    expect(giveUpOldest(waiting, 200, 0, 50)).toBe(3);
    expect(waiting.readings.slice(49, 51).map((reading) => reading.time_s)).toEqual([49, 53]);
  });

  // 1000 rows are written, 201 readings wait, 3 are given up: of the rows to come, the checkpoint has seen fewer.
  it.each([
    { seen: 900, becomes: 900 }, // saw only what is written
    { seen: 1002, becomes: 1000 }, // saw two of the three given up
    { seen: 1150, becomes: 1147 },
  ])("counts what was given up out of a checkpoint that had seen $seen", ({ seen, becomes }) => {
    const waiting = waitingReadings(201);
    waiting.checkpoint = freeze({ state: null, readingsSeen: seen });
    giveUpOldest(waiting, 200, 1000);
    expect(waiting.checkpoint.readingsSeen).toBe(becomes);
  });
});

describe("a queue of derived rows", () => {
  it("keeps the newest of each key, and lays it over the rows of the file", () => {
    const { inflow } = nothingWaiting();
    const stretch = (from_s: number, inflow_m3s: number) => ({ from_s, to_s: from_s + 1, inflow_m3s, uInflow_m3s: 0 });
    inflow.add(stretch(1, 10));
    inflow.add(stretch(1, 11));
    inflow.add(stretch(3, 30));
    expect([...inflow.items()]).toEqual([stretch(1, 11), stretch(3, 30)]);
    expect(inflow.over([stretch(1, 9), stretch(2, 20)])).toEqual([stretch(2, 20), stretch(1, 11), stretch(3, 30)]);
  });

  it("is bounded: the oldest goes first", () => {
    const { inflow } = nothingWaiting();
    for (let i = 0; i <= 20_000; i++) inflow.add({ from_s: i, to_s: i, inflow_m3s: 0, uInflow_m3s: 0 });
    expect(inflow.size()).toBe(20_000);
    expect([...inflow.items()][0]?.from_s).toBe(1);
  });
});

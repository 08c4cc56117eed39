import { describe, expect, it } from "vitest";
import * as z from "zod";
import { keepOrder, type Order } from "../../daemon/keep-order.ts";
import { defineSource, type SourceContext, type SourceReading } from "../../daemon/sources/source.ts";

const noon_s = Date.UTC(2026, 2, 4, 12) / 1000;

/** Lets a source say these times, and gives what came of each. */
async function say(times_s: readonly number[], order: Order) {
  const accepted: number[] = [];
  const rejected: string[] = [];
  const source = defineSource({
    kind: "test",
    config: z.unknown(),
    open(_config, { emit }) {
      for (const time_s of times_s) emit({ time_s });
      return { close: () => {} };
    },
  });
  await keepOrder(source, order).open(null, {
    now_s: () => 0,
    emit: ({ time_s }: SourceReading) => accepted.push(time_s),
    reject: (reason) => rejected.push(reason),
    fail: () => {},
    finished: () => {},
    site: testSite,
    baseFolder: "/",
  });
  return { accepted, rejected };
}

const testSite = {
  name: "",
  timezone: "UTC",
  displayUnits: "metric",
  basin: {
    geometry: { shape: "round", diameter_m: 1, occupiedArea_m2: 0 },
    depth_m: null,
    startLevel_m: null,
    stopLevel_m: null,
    highLevel_m: null,
    overflowLevel_m: null,
  },
  pump: null,
  discharge: null,
  design: { inflowFactor: 1.5 },
} as const;

/** A board of which one clock tells the time, with the newest reading of all its sources. */
function board() {
  let now_s = noon_s;
  const accepted: SourceReading[] = [];
  const rejected: string[] = [];
  const order: Order = { newest_s: () => accepted.at(-1)?.time_s ?? null, now_s: () => now_s };
  /** Opens a source, and gives what it was given. */
  const open = async () => {
    const given: SourceContext[] = [];
    const source = defineSource({
      kind: "test",
      config: z.unknown(),
      open(_config, context) {
        given.push(context);
        return { close: () => {} };
      },
    });
    await keepOrder(source, order).open(null, {
      now_s: () => now_s,
      emit: (reading) => accepted.push(reading),
      reject: (reason) => rejected.push(reason),
      fail: () => {},
      finished: () => {},
      site: testSite,
      baseFolder: "/",
    });
    const [context] = given;
    if (context === undefined) throw new Error("the source was not opened");
    return context;
  };
  const pass = (seconds: number) => {
    now_s += seconds;
  };
  return { open, pass, accepted, rejected };
}

describe("keepOrder", () => {
  it("takes a time a little ahead as now, so that a fast clock shuts out no other source", async () => {
    const { open, pass, accepted, rejected } = board();
    const [fast, float] = [await open(), await open()];
    fast.emit({ time_s: noon_s + 40, pumpOn: true });
    pass(1);
    float.emit({ time_s: float.now_s(), highFloat: true });
    expect(accepted).toEqual([
      { time_s: noon_s, pumpOn: true },
      { time_s: noon_s + 1, highFloat: true },
    ]);
    expect(rejected).toEqual([]);
  });

  it("never refuses what the board stamped, though time passed between the stamp and its reading", async () => {
    const { open, pass, accepted, rejected } = board();
    const sender = await open();
    const arrival_s = sender.now_s();
    pass(0.001);
    sender.emit({ time_s: noon_s + 40, pumpOn: true });
    sender.emit({ time_s: arrival_s, level_m: 0.3 });
    expect(accepted).toEqual([
      { time_s: noon_s + 0.001, pumpOn: true },
      { time_s: noon_s + 0.001, level_m: 0.3 },
    ]);
    expect(rejected).toEqual([]);
  });

  it("turns away, with both times, a reading older than the newest", async () => {
    const order = { newest_s: () => noon_s, now_s: () => noon_s + 1 };
    const { accepted, rejected } = await say([noon_s - 1, noon_s, noon_s + 1], order);
    expect(accepted).toEqual([noon_s, noon_s + 1]);
    expect(rejected).toEqual([
      "time_s: expected no earlier than the newest reading, 2026-03-04T12:00:00.000Z, found 2026-03-04T11:59:59.000Z",
    ]);
  });

  it("turns away a time far ahead of the clock, which would shut out all that follow", async () => {
    const { accepted, rejected } = await say([noon_s + 60, noon_s + 61], { newest_s: () => null, now_s: () => noon_s });
    expect(accepted).toEqual([noon_s]);
    expect(rejected).toHaveLength(1);
    expect(rejected[0]).toContain("expected at most 60 s ahead of this board's clock, 2026-03-04T12:00:00.000Z");
  });

  it("lets a recording have its own time", async () => {
    const { accepted } = await say([noon_s + 1e6], { newest_s: () => null, now_s: () => null });
    expect(accepted).toEqual([noon_s + 1e6]);
  });

  it("leaves what is no time at all to the check of the reading", async () => {
    const order = { newest_s: () => noon_s, now_s: () => noon_s };
    expect((await say([Number.NaN], order)).accepted).toEqual([Number.NaN]);
  });

  it("says a time that no calendar has as a number", async () => {
    const { rejected } = await say([1e300], { newest_s: () => null, now_s: () => noon_s });
    expect(rejected[0]).toContain("found 1e+300");
  });
});

import { describe, expect, it } from "vitest";
import {
  firmRate,
  notePumpStart,
  notePumpsRunning,
  pumpRanFor_s,
  pumpStartsInLastHour,
  splitTally,
} from "../../../analysis/report/pump-tally.ts";
import { newTally, noteStart } from "../../../analysis/report/tally.ts";

const flow = (flow_m3s: number) => ({ flow_m3s, uFlow_m3s: 1e-6, degreesOfFreedom: 20 });

function split() {
  const tally = newTally();
  for (const time_s of [100, 200, 300]) noteStart(tally, time_s);
  tally.run_s = 60;
  splitTally(tally, false, 400);
  const { pumps } = tally;
  if (pumps === null) throw new Error("the tally is not split");
  return { tally, first: pumps[0], second: pumps[1] };
}

describe("the tally of two pumps", () => {
  it("gives the first what ran before a second one was heard of", () => {
    const { first, second } = split();
    expect([first.starts, first.run_s, first.mostStartsInAnHour]).toEqual([3, 60, 3]);
    expect([second.starts, second.run_s, second.mostStartsInAnHour]).toEqual([0, 0, 0]);
  });

  it("counts starts of each, and the most in an hour", () => {
    const { tally, first, second } = split();
    for (const time_s of [500, 600, 4200]) notePumpStart(tally, 2, time_s);
    expect([first.starts, second.starts, second.mostStartsInAnHour]).toEqual([3, 3, 2]);
    expect(pumpStartsInLastHour(second, 4300)).toBe(1);
  });

  it("adds up the time of each, a run under way included", () => {
    const { tally, first, second } = split();
    notePumpsRunning(tally, 500, 1);
    notePumpsRunning(tally, 510, 3);
    notePumpsRunning(tally, 530, 2);
    expect([pumpRanFor_s(first, 540), pumpRanFor_s(second, 540)]).toEqual([60 + 30, 30]);
    notePumpsRunning(tally, 545, 0);
    expect(pumpRanFor_s(second, 600)).toBe(35);
  });
});

describe("firmRate", () => {
  it("is what the pump moves, with one", () => {
    expect(firmRate({ ...newTally(), pumpRate: flow(1.5e-3) })).toEqual(flow(1.5e-3));
  });

  it("is the first alone beside a standby, however weak that is", () => {
    const { tally } = split();
    expect(firmRate({ ...tally, pumpRate: flow(1.5e-3), secondRate: flow(0.5e-3) })).toEqual(flow(1.5e-3));
  });

  it("is the weaker of two that take turns", () => {
    const { tally } = split();
    for (const time_s of [500, 600, 700]) notePumpStart(tally, 2, time_s);
    expect(firmRate({ ...tally, pumpRate: flow(1.5e-3), secondRate: flow(1.2e-3) })).toEqual(flow(1.2e-3));
    expect(firmRate({ ...tally, pumpRate: flow(1.1e-3), secondRate: flow(1.2e-3) })).toEqual(flow(1.1e-3));
  });
});

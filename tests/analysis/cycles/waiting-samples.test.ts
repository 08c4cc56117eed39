import { describe, expect, it } from "vitest";
import {
  forgetNewest,
  forgetOldest,
  letWait,
  nothingWaits,
  waitingLevel_m,
  waitingSmooth_m,
  waitingTime_s,
} from "../../../analysis/cycles/waiting-samples.ts";

describe("waiting samples", () => {
  it("are had back in the order in which they came, however many wait and go", () => {
    const waiting = nothingWaits();
    for (let i = 0; i < 1000; i += 1) {
      letWait(waiting, i, i / 10, i / 100);
      if (i % 3 !== 0) forgetOldest(waiting, 1);
    }
    const oldest = 666;
    expect(waiting.count).toBe(1000 - oldest);
    expect(waitingTime_s(waiting, 0)).toBe(oldest);
    expect(waitingLevel_m(waiting, 1)).toBe((oldest + 1) / 10);
    expect(waitingSmooth_m(waiting, waiting.count - 1)).toBe(9.99);
  });

  it("are unknown beyond those that wait", () => {
    const waiting = nothingWaits();
    letWait(waiting, 1, 2, 3);
    expect([waitingTime_s(waiting, -1), waitingTime_s(waiting, 1)]).toEqual([Number.NaN, Number.NaN]);
    forgetOldest(waiting, 5);
    expect(waiting.count).toBe(0);
  });

  it("go from either end", () => {
    const waiting = nothingWaits();
    for (let i = 0; i < 20; i += 1) letWait(waiting, i, i, i);
    forgetOldest(waiting, 3);
    forgetNewest(waiting, 5);
    expect([waitingTime_s(waiting, 0), waitingTime_s(waiting, waiting.count - 1)]).toEqual([3, 14]);
    letWait(waiting, 99, 0, 0);
    expect(waitingTime_s(waiting, waiting.count - 1)).toBe(99);
  });
});

import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { createPacer } from "../../../../daemon/sources/replay/pacer.ts";

const day_s = 86_400;

describe("the pacer of a recording", () => {
  beforeEach(() => void vi.useFakeTimers({ now: 0 }));
  afterEach(() => vi.useRealTimers());

  it("waits through a gap longer than the 24.8 days that a timer can be set for, and looks once an hour", async () => {
    const setTimer = vi.spyOn(globalThis, "setTimeout");
    const pacer = createPacer(1, () => Date.now() / 1000);
    await Promise.all([pacer.wait(0), vi.advanceTimersByTimeAsync(5)]);
    setTimer.mockClear();
    let over = false;
    const waiting = pacer.wait(30 * day_s)?.then(() => {
      over = true;
    });
    await vi.advanceTimersByTimeAsync((30 * day_s - 60) * 1000);
    expect(over).toBe(false);
    await vi.advanceTimersByTimeAsync(60_000);
    await waiting;
    expect(over).toBe(true);
    expect(setTimer.mock.calls.length).toBeLessThanOrEqual(30 * 24 + 1);
    expect(Math.max(...setTimer.mock.calls.map(([, wait_ms]) => wait_ms ?? 0))).toBe(3_600_000);
  });
});

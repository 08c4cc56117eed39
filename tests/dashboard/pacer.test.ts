import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { createPacer } from "../../dashboard/pacer.ts";

const pace = { shortestPause_ms: 10_000, shareOfTime: 0.02 };

describe("the pacer of a costly task", () => {
  beforeEach(() => vi.useFakeTimers());
  afterEach(() => vi.useRealTimers());

  it("does it at once, then makes one of all wishes during the rest", async () => {
    const task = vi.fn(async () => {});
    const pacer = createPacer(task, pace);
    pacer.want();
    expect(task).toHaveBeenCalledTimes(1);
    pacer.want();
    pacer.want();
    await vi.advanceTimersByTimeAsync(9_999);
    expect(task).toHaveBeenCalledTimes(1);
    await vi.advanceTimersByTimeAsync(1);
    expect(task).toHaveBeenCalledTimes(2);
    await vi.advanceTimersByTimeAsync(60_000);
    expect(task).toHaveBeenCalledTimes(2);
  });

  it("rests longer after a task that took long", async () => {
    // 1 s at a fiftieth of the time: 50 s of rest.
    const task = vi.fn(() => new Promise<void>((done) => setTimeout(done, 1000)));
    const pacer = createPacer(task, pace);
    pacer.want();
    await vi.advanceTimersByTimeAsync(1000);
    pacer.want();
    await vi.advanceTimersByTimeAsync(49_990);
    expect(task).toHaveBeenCalledTimes(1);
    await vi.advanceTimersByTimeAsync(20);
    expect(task).toHaveBeenCalledTimes(2);
  });

  it("tries again what failed", async () => {
    const task = vi.fn(async () => {}).mockRejectedValueOnce(new Error("refused"));
    createPacer(task, pace).want();
    await vi.advanceTimersByTimeAsync(60_000);
    expect(task).toHaveBeenCalledTimes(2);
  });
});

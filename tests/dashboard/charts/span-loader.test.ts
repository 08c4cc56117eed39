import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { createSpanLoader } from "../../../dashboard/charts/span-loader.ts";

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

/** A loader whose answers come so long after they are asked for. */
function slowLoader(answer_ms = 50) {
  const asked: number[] = [];
  const aborted: number[] = [];
  const shown: number[] = [];
  const loader = createSpanLoader<number>({
    pause_ms: 100,
    fetch: ({ from_s }, _points, signal) =>
      new Promise((resolve, reject) => {
        asked.push(from_s);
        signal.addEventListener("abort", () => {
          aborted.push(from_s);
          reject(new Error("aborted"));
        });
        setTimeout(() => resolve(from_s), answer_ms);
      }),
    done: (answer) => shown.push(answer),
    failed: () => shown.push(Number.NaN),
  });
  const want = (from_s: number, reason: "gesture" | "time") => loader.want({ from_s, to_s: from_s + 1 }, 10, reason);
  return { loader, want, asked, aborted, shown };
}

describe("fetching what a chart shows", () => {
  it("asks once when a gesture pauses", async () => {
    const { want, asked, shown } = slowLoader();
    for (const from_s of [1, 2, 3]) {
      want(from_s, "gesture");
      await vi.advanceTimersByTimeAsync(60);
    }
    await vi.advanceTimersByTimeAsync(500);
    expect(asked).toEqual([3]);
    expect(shown).toEqual([3]);
  });

  it("aborts an answer that a gesture has made stale, and never shows it", async () => {
    const { want, asked, aborted, shown } = slowLoader(400);
    want(1, "gesture");
    await vi.advanceTimersByTimeAsync(150);
    want(2, "gesture");
    await vi.advanceTimersByTimeAsync(1000);
    expect(asked).toEqual([1, 2]);
    expect(aborted).toEqual([1]);
    expect(shown).toEqual([2]);
  });

  it("lets the answer under way arrive when only time has passed, and asks at most once a second", async () => {
    const { want, asked, aborted, shown } = slowLoader(400);
    for (let from_s = 0; from_s < 30; from_s++) {
      want(from_s, "time");
      await vi.advanceTimersByTimeAsync(100);
    }
    await vi.advanceTimersByTimeAsync(2000);
    expect(aborted).toEqual([]);
    expect(asked).toHaveLength(4);
    expect(shown).toEqual(asked);
  });

  it("does not forget what was wanted while an answer was under way", async () => {
    const { want, asked, shown } = slowLoader(400);
    want(1, "time");
    await vi.advanceTimersByTimeAsync(100);
    want(2, "time");
    await vi.advanceTimersByTimeAsync(3000);
    expect(asked).toEqual([1, 2]);
    expect(shown).toEqual([1, 2]);
  });

  it("stops with what is under way", async () => {
    const { loader, want, aborted, shown } = slowLoader();
    want(1, "time");
    await vi.advanceTimersByTimeAsync(10);
    loader.stop();
    await vi.advanceTimersByTimeAsync(500);
    expect(aborted).toEqual([1]);
    expect(shown).toEqual([]);
  });
});

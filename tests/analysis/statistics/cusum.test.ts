import { describe, expect, it } from "vitest";
import { type CusumSignal, feedCusum, newCusum } from "../../../analysis/statistics/cusum.ts";

const limits = { k: 0.5, h: 5 };

function feed(values: readonly number[], state = newCusum()): (CusumSignal | null)[] {
  return values.map((z) => feedCusum(state, z, limits));
}

describe("feedCusum", () => {
  it("keeps quiet while nothing goes beyond the allowance, however long", () => {
    expect(feed(Array.from({ length: 1000 }, (_, i) => (i % 2 === 0 ? 0.5 : -0.5)))).toEqual(Array(1000).fill(null));
  });

  it("signals a shift up, since when and how far: 2 each after three on target add 1.5 each", () => {
    const told = feed([0, 0, 0, 2, 2, 2, 2]);
    expect(told.slice(0, 6)).toEqual(Array(6).fill(null));
    expect(told[6]).toEqual({ side: "up", onset: 3, size: 2 });
  });

  it("signals a shift down with a negative size", () => {
    expect(feed([0, -3, -3, -3]).at(-1)).toEqual({ side: "down", onset: 1, size: -3 });
  });

  it("does not signal at the interval itself, only beyond it", () => {
    expect(feed([5.5]).at(-1)).toBeNull();
    expect(feed([5.5001]).at(-1)?.side).toBe("up");
  });

  it("begins to count anew after the sum has been back at 0", () => {
    expect(feed([2, 2, -9, 0, 3, 3, 3]).at(-1)).toMatchObject({ side: "up", onset: 4 });
  });

  it("tells the greater side where both are beyond", () => {
    expect(feed([6, -5.6]).at(-1)).toEqual({ side: "down", onset: 1, size: -5.6 });
    expect(feed([9, -5.7]).at(-1)?.side).toBe("down");
  });

  it("carries on from a copy of its state as if it had never stopped", () => {
    const state = newCusum();
    feed([0, 2, 2], state);
    const copy = structuredClone(state);
    expect(feed([2, 2], copy)).toEqual(feed([2, 2], state));
  });

  it("refuses what is no number, and says so", () => {
    expect(() => feedCusum(newCusum(), Number.NaN, limits)).toThrow("z is NaN");
  });
});

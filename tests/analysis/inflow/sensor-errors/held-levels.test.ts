import { expect, it } from "vitest";
import { leaveOutHeld } from "../../../../analysis/inflow/sensor-errors/held-levels.ts";

function left(y: readonly number[], before_m3: number | null, equalShare: number) {
  const t = Float64Array.from(y, (_, i) => 10 * i);
  const samples = { t, y: Float64Array.from(y), weight: new Float64Array(y.length).fill(1), count: y.length };
  leaveOutHeld(samples, before_m3, equalShare);
  return Array.from({ length: samples.count }, (_, i) => [samples.t[i], samples.y[i]]);
}

it("leaves out levels that a sensor said again, but for the first of them", () => {
  expect(left([1, 2, 3, 3, 3, 3, 7, 8], null, 0.05)).toEqual([
    [0, 1],
    [10, 2],
    [20, 3],
    [60, 7],
    [70, 8],
  ]);
});

it("leaves out all that were read before the rest began", () => {
  expect(left([9, 9, 9, 4, 5], 9, 0.05)).toEqual([
    [30, 4],
    [40, 5],
  ]);
});

it.each([
  ["by chance", [1, 2, 2, 3, 4], 0.05],
  ["by a sensor of coarse steps", [1, 1, 1, 1, 2, 2, 2, 2], 0.7],
  ["by one of which nothing is known yet", [1, 1, 1, 1, 2], 1],
  ["while a run went by", [4, 5, 5, 5, 5, 1, 2], 0.05],
])("leaves what is said again %s", (_, y, equalShare) => {
  expect(left(y, null, equalShare)).toEqual(y.map((value, i) => [10 * i, value]));
});

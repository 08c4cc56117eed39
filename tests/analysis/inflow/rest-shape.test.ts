import { describe, expect, it } from "vitest";
import { expectedBend, learnBend, newRestShape, wanderingOfSensor } from "../../../analysis/inflow/rest-shape.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";

const noise = 1;

function learnt(rests: number, bendOf: (i: number) => number, seed = 1) {
  const random = seededRandom(seed);
  const [memory] = newRestShape();
  if (memory === undefined) throw new Error("a shape has bends");
  for (let i = 0; i < rests; i++) learnBend(memory, { value: bendOf(i) + random.normal(noise), variance: noise ** 2 });
  return memory;
}

describe("expectedBend", () => {
  it("is unknown after two rests, and known after three", () => {
    const seen = { value: 0, variance: 1 };
    expect(
      expectedBend(
        learnt(2, () => 0),
        seen,
        0,
      ),
    ).toBeNull();
    expect(
      expectedBend(
        learnt(3, () => 0),
        seen,
        0,
      ),
    ).not.toBeNull();
  });

  it("is next to nothing, and surely, where rests have been straight", () => {
    const found = expectedBend(
      learnt(100, () => 0),
      { value: 0, variance: 1 },
      0,
    );
    expect(Math.abs(found?.value ?? 1)).toBeLessThan(0.4);
    expect(found?.variance).toBeLessThan(0.25);
  });

  it("is the bend that every rest has shown", () => {
    const found = expectedBend(
      learnt(100, () => 5),
      { value: 5, variance: 1 },
      0,
    );
    expect(found?.value).toBeCloseTo(5, 0);
    expect(found?.variance).toBeLessThan(0.25);
  });

  it("leaves room where some rests bent one way and some the other", () => {
    const found = expectedBend(
      learnt(100, (i) => (i % 2 === 0 ? 6 : -6)),
      { value: 6, variance: 1 },
      0,
    );
    expect(found?.variance).toBeGreaterThan(20);
  });

  it("lets a rest speak for itself that is unlike all before", () => {
    expect(
      expectedBend(
        learnt(100, () => 0),
        { value: 5, variance: 1 },
        0,
      ),
    ).toBeNull();
  });

  it("follows the latest few once the weather has changed", () => {
    const found = expectedBend(
      learnt(100, (i) => (i < 92 ? 0 : i % 2 === 0 ? 9 : -9)),
      { value: 9, variance: 1 },
      0,
    );
    expect(found?.variance).toBeGreaterThan(5);
  });
});

describe("wanderingOfSensor", () => {
  /** Slopes and their changes in variances of noise, by random numbers. */
  function shapeOf(slopeSd: number, changeSd: number) {
    const random = seededRandom(3);
    const shape = newRestShape();
    for (let i = 0; i < 80; i++) {
      [slopeSd, changeSd].forEach((sd, k) => {
        const bend = shape[k];
        if (bend) learnBend(bend, { value: random.normal(Math.hypot(1, sd)), variance: 1 });
      });
    }
    return shape;
  }

  it("is none for independent errors, and none for weather that bends rests one way or the other", () => {
    expect(wanderingOfSensor(shapeOf(0, 0))).toBe(0);
    expect(wanderingOfSensor(shapeOf(10, 0.5))).toBe(0);
  });

  it("is what a random walk leaves in the third coefficient, 21/45 of what it leaves in the second", () => {
    const found = wanderingOfSensor(shapeOf(Math.sqrt(6), Math.sqrt((6 * 21) / 45)));
    expect(found).toBeGreaterThan(1);
    expect(found).toBeLessThan(5);
  });
});

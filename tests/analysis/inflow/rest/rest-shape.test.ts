import { describe, expect, it } from "vitest";
import {
  expectedBend,
  learnBend,
  newRestShape,
  wanderingOfSensor,
} from "../../../../analysis/inflow/rest/rest-shape.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";

const noise = 1;

function learnt(rests: number, bendOf: (i: number) => number, seed = 1) {
  const random = seededRandom(seed);
  const [memory] = newRestShape();
  if (memory === undefined) throw new Error("a shape has bends");
  for (let i = 0; i < rests; i++) {
    const seen = { value: bendOf(i) + random.normal(noise), variance: noise ** 2 };
    learnBend(memory, seen, expectedBend(memory, seen, 0).odd);
  }
  return memory;
}

const seen = (value: number) => ({ value, variance: noise ** 2 });

describe("expectedBend", () => {
  it("takes a first rest for straight, unless it shows otherwise clearly", () => {
    expect(
      expectedBend(
        learnt(0, () => 0),
        seen(1),
        0,
      ),
    ).toMatchObject({ value: 0, variance: 0 });
    expect(
      expectedBend(
        learnt(0, () => 0),
        seen(1),
        0,
      ).odd,
    ).toBeLessThan(0.2);
    expect(
      expectedBend(
        learnt(0, () => 0),
        seen(4),
        0,
      ).odd,
    ).toBeGreaterThan(0.9);
  });

  it("is next to nothing, and surely, where rests have been straight", () => {
    const found = expectedBend(
      learnt(100, () => 0),
      seen(0),
      0,
    );
    expect(Math.abs(found.value)).toBeLessThan(0.4);
    expect(found.variance).toBeLessThan(0.25);
  });

  it("is none where the mean of a dozen rests is within what chance makes of it", () => {
    const seeds = Array.from({ length: 40 }, (_, i) => i + 1);
    const values = seeds.map(
      (seed) =>
        expectedBend(
          learnt(12, () => 0, seed),
          seen(0),
          0,
        ).value,
    );
    expect(values.filter((value) => value === 0).length).toBeGreaterThan(24);
    // By the mean as it is, chance would make it 1/√12 of the noise.
    expect(Math.hypot(...values) / Math.sqrt(seeds.length)).toBeLessThan(0.8 / Math.sqrt(12));
  });

  it("is the bend that every rest has shown", () => {
    const found = expectedBend(
      learnt(100, () => 5),
      seen(5),
      0,
    );
    expect(found.value).toBeCloseTo(5, 0);
    expect(found.variance).toBeLessThan(0.25);
    expect(found.odd).toBeLessThan(0.01);
  });

  it("leaves room where some rests bent one way and some the other", () => {
    const found = expectedBend(
      learnt(100, (i) => (i % 2 === 0 ? 6 : -6)),
      seen(6),
      0,
    );
    expect(found.variance).toBeGreaterThan(20);
    expect(found.odd).toBeLessThan(0.1);
  });

  it("finds a rest odd that is unlike all before: not what noise does once in three hundred, but what it never does", () => {
    const straight = learnt(100, () => 0);
    expect(expectedBend(straight, seen(3), 0).odd).toBeLessThan(0.15);
    expect(expectedBend(straight, seen(5.5), 0).odd).toBeGreaterThan(0.95);
  });

  it("is quicker to find a rest odd where one in ten is", () => {
    const withWashdays = learnt(100, (i) => (i % 10 === 0 ? 30 : 0));
    const found = expectedBend(withWashdays, seen(3.8), 0);
    expect(found.odd).toBeGreaterThan(
      expectedBend(
        learnt(100, () => 0),
        seen(3.8),
        0,
      ).odd,
    );
    // What one washday brings is not expected of the next rest.
    expect(Math.abs(found.value)).toBeLessThan(0.5);
    expect(found.variance).toBeLessThan(0.5);
  });

  it("follows the latest few once the weather has changed", () => {
    const found = expectedBend(
      learnt(100, (i) => (i < 92 ? 0 : i % 2 === 0 ? 9 : -9)),
      seen(9),
      0,
    );
    expect(found.variance).toBeGreaterThan(5);
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
        if (bend) learnBend(bend, { value: random.normal(Math.hypot(1, sd)), variance: 1 }, 0);
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

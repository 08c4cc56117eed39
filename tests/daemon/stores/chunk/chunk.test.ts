import { describe, expect, it } from "vitest";
import { type Reading, silentReading } from "../../../../analysis/readings/reading.ts";
import { decodeChunk, decodeLevels, encodeChunk } from "../../../../daemon/stores/chunk/chunk.ts";
import * as fc from "../../../at-random.ts";

const contact = fc.option(fc.boolean(), { nil: null });
const anyDouble = fc.double({ noNaN: true });
/** As sensors give them: decimals of a unit, in SI by the conversion at the edge. */
const decimal = fc
  .tuple(fc.integer({ min: -99_999, max: 99_999 }), fc.constantFrom(1, 10, 1000), fc.constantFrom(1, 100, 1000))
  .map(([digits, places, over]) => ((digits / places) * 1) / over);
const inches = fc.integer({ min: 0, max: 6000 }).map((hundredths) => ((hundredths / 100) * 254) / 10_000);
const value = fc.option(fc.oneof(anyDouble, decimal, inches), { nil: null });
const reading: fc.Arbitrary<Reading> = fc.record(
  {
    time_s: fc.oneof(fc.double({ noNaN: true, noDefaultInfinity: true }), fc.integer({ min: 0, max: 4e9 })),
    level_m: value,
    pumpOn: contact,
    floatOn: contact,
    pump2On: contact,
    float2On: contact,
    highFloat: contact,
    pumpCurrent_a: value,
    pumpPower_w: value,
    mainsOn: contact,
    rain_m: value,
    temperature_c: value,
  },
  { noNullPrototype: true },
);

function comesBack(readings: readonly Reading[]): void {
  const bytes = encodeChunk(readings);
  expect(decodeChunk(bytes)).toStrictEqual(readings); // −0 and 0 are told apart
  const { time_s, level_m } = decodeLevels(bytes);
  expect([...time_s]).toStrictEqual(readings.map((one) => one.time_s));
  for (const [i, one] of readings.entries()) {
    expect(level_m === null || Number.isNaN(level_m[i]) ? null : level_m[i]).toBe(one.level_m);
  }
}

describe("a chunk", () => {
  it("gives any readings back bit for bit, in their order", () => {
    fc.assert(fc.property(fc.array(reading, { maxLength: 50 }), comesBack), { numRuns: 300 });
  });

  it.each(["level_m", "pumpCurrent_a", "pumpPower_w", "rain_m", "temperature_c"] as const)(
    "gives %s back bit for bit: alone, of one sensor, with readings left out and more decimals now and then",
    (channel) => {
      const ofOneSensor = fc.constantFrom(decimal, inches).chain((sensor) => {
        const now = fc.oneof({ weight: 50, arbitrary: sensor }, { weight: 5, arbitrary: fc.constant(null) });
        return fc.array(now, { minLength: 1, maxLength: 200 });
      });
      fc.assert(
        fc.property(ofOneSensor, fc.option(anyDouble), (values, odd) => {
          const all = odd === null ? values : [...values, odd];
          comesBack(all.map((one, i) => ({ ...silentReading, time_s: 1_767_614_400 + i, [channel]: one })));
        }),
        { numRuns: 60 },
      );
    },
  );

  it("gives times back bit for bit: irregular, doubled, stepping back, with or without a fraction", () => {
    const steps = fc.array(
      fc.oneof(fc.integer({ min: -90_000, max: 90_000 }), fc.double({ min: 0, max: 2, noNaN: true }), fc.constant(0)),
      { maxLength: 100 },
    );
    fc.assert(
      fc.property(steps, fc.boolean(), (some, wholeMilliseconds) => {
        let time_s = 1_767_614_400;
        comesBack(
          some.map((step_s) => {
            time_s += step_s;
            return { ...silentReading, time_s: wholeMilliseconds ? Math.round(time_s * 1000) / 1000 : time_s };
          }),
        );
      }),
    );
  });

  it("holds no readings, too", () => comesBack([]));

  it("keeps a level that no step explains", () => {
    for (const level_m of [
      Number.MAX_VALUE,
      Number.MIN_VALUE,
      2 ** 53,
      0.1 + 0.2,
      -0,
      Math.PI,
      Number.NEGATIVE_INFINITY,
    ]) {
      comesBack([0.3551, level_m, 0.3552].map((one, i) => ({ ...silentReading, time_s: i, level_m: one })));
    }
  });

  it("makes little of what a sensor says: a straight fill without noise in a fiftieth of a byte a reading", () => {
    const fill = Array.from({ length: 5000 }, (_, i) => ({
      ...silentReading,
      time_s: 1_767_614_400 + i,
      level_m: (1500 + 3 * i) / 10_000,
      pumpOn: false,
    }));
    expect(encodeChunk(fill).length).toBeLessThan(100);
  });

  it.each([
    { name: "cut off", spoil: (bytes: Uint8Array) => bytes.subarray(0, bytes.length - 20) },
    { name: "of another layout", spoil: (bytes: Uint8Array) => bytes.with(0, 99) },
    { name: "empty", spoil: () => new Uint8Array() },
  ])("that is $name is refused as damaged", ({ spoil }) => {
    const bytes = encodeChunk([0.1, 0.2, 0.35].map((level_m, time_s) => ({ ...silentReading, time_s, level_m })));
    expect(() => decodeChunk(spoil(bytes))).toThrow("damaged");
  });
});

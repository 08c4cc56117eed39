import { describe, expect, it } from "vitest";
import type { InflowStretch } from "../../../../analysis/analyzer.ts";
import type { Cycle } from "../../../../analysis/cycles/cycle.ts";
import { type Finding, findingKinds } from "../../../../analysis/findings/finding.ts";
import { type Reading, silentReading } from "../../../../analysis/readings/reading.ts";
import {
  cycleIn,
  cyclePoint,
  findingIn,
  findingPoint,
  inflowIn,
  inflowPoint,
  readingEncoder,
  readingIn,
} from "../../../../daemon/stores/influx/points.ts";
import * as fc from "../../../at-random.ts";
import { asRow } from "./as-row.ts";

const noon_s = 1_767_614_400;
const number = fc.double({ noNaN: true, noDefaultInfinity: true });
const figure = fc.double({ noNaN: true }).filter((x) => Math.abs(x) !== Number.MAX_VALUE);
const orNull = <T>(some: fc.Arbitrary<T>) => fc.option(some, { nil: null });
const instant = fc.oneof(
  fc.double({ min: 0, max: 4e9, noNaN: true }),
  fc.integer({ min: 0, max: 4e12 }).map((ms) => ms / 1000),
);
/** As sensors say it: decimals in metres, millimetres, inches, feet; and what stands on no grid. */
const level = fc.oneof(
  fc.integer({ min: -500, max: 90_000 }).map((n) => n / 10_000),
  fc.integer({ min: -500, max: 9000 }).map((n) => n / 10 / 1000),
  fc.integer({ min: -500, max: 9000 }).map((n) => ((n / 100) * 254) / 10_000),
  fc.integer({ min: -500, max: 900 }).map((n) => ((n / 100) * 3048) / 10_000),
  number,
);
const contact = orNull(fc.boolean());

const reading: fc.Arbitrary<Reading> = fc.record(
  {
    time_s: instant,
    level_m: orNull(level),
    pumpOn: contact,
    floatOn: contact,
    pump2On: contact,
    float2On: contact,
    highFloat: contact,
    pumpCurrent_a: orNull(level),
    pumpPower_w: orNull(number),
    mainsOn: contact,
    rain_m: orNull(level),
    temperature_c: orNull(level),
  },
  { noNullPrototype: true },
);

const flow = fc.record({ flow_m3s: figure, uFlow_m3s: figure, degreesOfFreedom: figure }, { noNullPrototype: true });
const withParts = fc
  .tuple(flow, fc.option(fc.record({ geometry: number.map((x) => x + 0) }, { noNullPrototype: true })))
  .map(([some, parts]) => (parts === null ? some : { ...some, parts }));
const load = fc.record({ mean: figure, standardDeviation: orNull(figure) }, { noNullPrototype: true });

const cycle: fc.Arbitrary<Cycle> = fc
  .tuple(
    fc.record(
      {
        startedAt_s: instant,
        stoppedAt_s: instant,
        run_s: figure,
        rest_s: orNull(figure),
        startLevel_m: orNull(figure),
        stopLevel_m: orNull(figure),
        inflow: orNull(withParts.map((some) => ({ ...some, method: "fill-slope" as const }))),
        pumpRate: orNull(withParts),
        drainBack_m3: orNull(figure),
      },
      { noNullPrototype: true },
    ),
    fc.option(fc.record({ runningCurrent: load, runningPower: load }, { noNullPrototype: true })),
    fc.option(
      fc.record(
        { pump1_s: figure, pump2_s: figure, both_s: figure, rateOf: orNull(fc.constantFrom(1, 2, "both")) },
        { noNullPrototype: true },
      ),
    ),
  )
  .map(([some, loads, pumps]) => ({ ...some, ...(pumps !== null && { pumps }), ...loads }) as Cycle);

/** Any but the one that reading leaves out, which would be an object's prototype. */
const evidenceKey = fc.string().filter((key) => key !== "__proto__");

const finding: fc.Arbitrary<Finding> = fc.record(
  {
    kind: fc.constantFrom(...findingKinds),
    severity: fc.constantFrom("info", "warning", "critical"),
    from_s: instant,
    to_s: orNull(instant),
    evidence: fc.dictionary(evidenceKey, fc.oneof(fc.string(), fc.boolean(), orNull(number.map((x) => x + 0))), {
      noNullPrototype: true,
    }),
    message: fc.string({ unit: "binary" }),
  },
  { noNullPrototype: true },
);

const stretch: fc.Arbitrary<InflowStretch> = fc.record(
  { from_s: instant, to_s: instant, inflow_m3s: figure, uInflow_m3s: figure },
  { noNullPrototype: true },
);

describe("points", () => {
  it("give readings back bit for bit", () => {
    fc.assert(
      fc.property(fc.array(reading, { maxLength: 20 }), (some) => {
        const encoder = readingEncoder("elm-street-7");
        expect(some.map((one) => readingIn(asRow(encoder.point(one))))).toStrictEqual(some);
      }),
    );
  });

  it("give cycles, findings and stretches back bit for bit", () => {
    const same = <T>(arbitrary: fc.Arbitrary<T>, thereAndBack: (one: T) => T | null) =>
      fc.assert(
        fc.property(arbitrary, (one) => {
          expect(thereAndBack(one)).toStrictEqual(one);
        }),
      );
    same(cycle, (one) => cycleIn(asRow(cyclePoint("a", one))));
    same(finding, (one) => findingIn(asRow(findingPoint("a", one))));
    same(stretch, (one) => inflowIn(asRow(inflowPoint("a", one))));
  });

  it("of a record that is written again take nothing over from the older one", () => {
    fc.assert(
      fc.property(cycle, cycle, (older, newer) => {
        const both = { ...asRow(cyclePoint("a", older)), ...asRow(cyclePoint("a", newer)) };
        expect(cycleIn(both)).toStrictEqual(newer);
      }),
    );
    fc.assert(
      fc.property(finding, finding, (older, newer) => {
        const both = { ...asRow(findingPoint("a", older)), ...asRow(findingPoint("a", newer)) };
        expect(findingIn(both)).toStrictEqual(newer);
      }),
    );
  });

  it("of readings of one instant are told apart, in their order", () => {
    const encoder = readingEncoder("a");
    const some = [0.1, 0.2, 0.3].map((level_m) => encoder.point({ ...silentReading, time_s: noon_s + 0.123, level_m }));
    expect(some.map((point) => point.timestamp)).toEqual(["000", "001", "002"].map((end) => `1767614400123000${end}`));
    expect(some.map((point) => readingIn(asRow(point)).time_s)).toEqual(Array(3).fill(noon_s + 0.123));
  });

  it("are the same points when an encoder is resumed in the middle", () => {
    const some = [0.1, 0.25, 0.25, 0.3].map((level_m, i) => ({ ...silentReading, time_s: noon_s + (i >> 1), level_m }));
    const whole = readingEncoder("a");
    const begun = readingEncoder("a");
    const all = some.map((one) => asRow(whole.point(one)));
    for (const one of some.slice(0, 3)) begun.point(one);
    const resumed = readingEncoder("a", JSON.parse(JSON.stringify(begun.state())));
    expect(some.slice(3).map((one) => asRow(resumed.point(one)))).toEqual(all.slice(3));
  });

  it("keep a sensor's levels as small whole numbers of its step", () => {
    const encoder = readingEncoder("a");
    const steps = [0.305, 0.31, 0.3, 0.295].map(
      (level_m, i) => asRow(encoder.point({ ...silentReading, time_s: noon_s + i, level_m })).level_m_steps,
    );
    expect(steps).toEqual([1, 62, 60, 59]); // of 5 mm, once the second has told
  });
});

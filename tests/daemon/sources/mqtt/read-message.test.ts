import { describe, expect, it } from "vitest";
import { type Channels, channelsSchema } from "../../../../daemon/sources/mqtt/channel-schema.ts";
import { readMessage } from "../../../../daemon/sources/mqtt/read-message.ts";
import * as fc from "../../../at-random.ts";

const arrival_s = Date.UTC(2026, 2, 4, 6, 10) / 1000;

function channels(group: Record<string, unknown>): Channels {
  return channelsSchema.parse(group);
}

function read(group: Record<string, unknown>, payload: string, retained = false) {
  return readMessage("pit", channels(group), { payload, retained, arrival_s });
}

describe("readMessage", () => {
  it("reads a plain number in its unit", () => {
    expect(read({ level: { topic: "pit", unit: "mm" } }, " 355.1\n")).toEqual({
      readings: [{ time_s: arrival_s, level_m: 0.3551 }],
      problems: [],
    });
    expect(read({ level: { topic: "pit", unit: "in" } }, "10").readings).toEqual([
      { time_s: arrival_s, level_m: 0.254 },
    ]);
  });

  it("turns the distance down to the water into a level by scale and offset", () => {
    // 762 mm from sensor to floor, 500 mm to the water: 262 mm of water.
    const level = { topic: "pit", unit: "mm", scale: -1, offset: 762 };
    expect(read({ level }, "500").readings[0]?.level_m).toBeCloseTo(0.262, 12);
  });

  it("reads milliamperes, kilowatts and degrees Fahrenheit", () => {
    const group = {
      pump_current: { topic: "pit", unit: "mA", path: "$.i" },
      pump_power: { topic: "pit", unit: "kW", path: "$.p" },
      temperature: { topic: "pit", unit: "°F", path: "$.t" },
    };
    expect(read(group, '{"i": 4200, "p": 0.25, "t": 50}').readings).toEqual([
      { time_s: arrival_s, pumpCurrent_a: 4.2, pumpPower_w: 250, temperature_c: 10 },
    ]);
  });

  it.each([
    ["on", true],
    ["OFF", false],
    ["true", true],
    ["0", false],
    ["1", true],
    ["open", false],
    ["Closed", true],
  ])("reads %s as %s, and the other way round when inverted", (word, value) => {
    expect(read({ pump_on: { topic: "pit" } }, word).readings[0]?.pumpOn).toBe(value);
    expect(read({ pump_on: { topic: "pit", invert: true } }, word).readings[0]?.pumpOn).toBe(!value);
  });

  it("finds values in JSON, lists included, and makes one reading of one message", () => {
    const group = {
      level: { topic: "pit", unit: "cm", path: "$.sensors[1].depth" },
      high_float: { topic: "pit", path: "float.high" },
      pump_on: { topic: "elsewhere" },
    };
    expect(read(group, '{"sensors":[{},{"depth":"36"}],"float":{"high":false}}').readings).toEqual([
      { time_s: arrival_s, level_m: 0.36, highFloat: false },
    ]);
  });

  it("passes on what the device does not know as no reading", () => {
    expect(read({ level: { topic: "pit", unit: "mm", path: "$.mm" } }, '{"mm": null}').readings).toEqual([
      { time_s: arrival_s, level_m: null },
    ]);
  });

  it.each([
    ["2026-03-04T06:09:58.250Z", arrival_s - 1.75],
    ["2026-03-04T01:09:58-05:00", arrival_s - 2],
    [arrival_s - 60, arrival_s - 60],
    [(arrival_s - 60) * 1000 + 5, arrival_s - 59.995],
  ])("takes the time %s from the message", (t, time_s) => {
    const level = { topic: "pit", unit: "mm", path: "$.mm", time: "$.t" };
    const [reading] = read({ level }, JSON.stringify({ mm: 300, t })).readings;
    expect(reading?.time_s).toBeCloseTo(time_s, 6);
  });

  it.each([
    ["abc", 'topic pit: expected a number in mm, found "abc"'],
    ["12,5", 'topic pit: expected a number in mm, found "12,5"'],
    ["", 'topic pit: expected a number in mm, found ""'],
    ["NaN", 'topic pit: expected a number in mm, found "NaN"'],
    ["1e999", 'topic pit: expected a number in mm, found "1e999"'],
    ["9".repeat(70_000), "topic pit: expected at most 65536 characters, found 70000"],
  ])("says what is wrong with a number such as %j", (payload, problem) => {
    expect(read({ level: { topic: "pit", unit: "mm" } }, payload)).toEqual({ readings: [], problems: [problem] });
  });

  it.each([
    ["{}", "topic pit: expected a number in mm at $.depth.mm, found nothing"],
    ['{"depth":7}', "topic pit: expected a number in mm at $.depth.mm, found nothing"],
    ['{"depth":{"mm":true}}', "topic pit: expected a number in mm at $.depth.mm, found true"],
    ["7 mm", 'topic pit: expected JSON with a number in mm at $.depth.mm, found "7 mm"'],
  ])("says where in %s the number is missing", (payload, problem) => {
    expect(read({ level: { topic: "pit", unit: "mm", path: "$.depth.mm" } }, payload).problems).toEqual([problem]);
  });

  it("keeps the channel that can be read when another one cannot", () => {
    const group = { level: { topic: "pit", unit: "mm", path: "$.mm" }, pump_on: { topic: "pit", path: "$.pump" } };
    expect(read(group, '{"mm":300,"pump":"maybe"}')).toEqual({
      readings: [{ time_s: arrival_s, level_m: 0.3 }],
      problems: ['topic pit: expected on or off, true or false, 1 or 0, open or closed at $.pump, found "maybe"'],
    });
  });

  it.each([
    ["2026-03-04T06:09:58", "as ISO 8601 with an offset or as seconds or milliseconds since 1970"],
    [12, "expected a time after the year 2000 at $.t, found 12"],
    [arrival_s + 7200, "7200 s ahead of the board's clock"],
    [null, "found nothing"],
  ])("refuses the time %s", (t, words) => {
    const level = { topic: "pit", unit: "mm", path: "$.mm", time: "$.t" };
    const { readings, problems } = read({ level }, JSON.stringify({ mm: 300, t }));
    expect(readings).toEqual([]);
    expect(problems[0]).toContain(words);
  });

  it("leaves out a measurement that the broker kept, since its age is unknown, and takes a switch", () => {
    const group = { level: { topic: "pit", unit: "mm" }, pump_on: { topic: "pit" } };
    expect(read(group, "1", true).readings).toEqual([{ time_s: arrival_s, pumpOn: true }]);
    expect(read({ level: { topic: "pit", unit: "mm", retained: true } }, "1", true).readings).toHaveLength(1);
    expect(read({ pump_on: { topic: "pit", retained: false } }, "1", true).readings).toEqual([]);
  });

  it("never throws, and gives finite numbers only, whatever arrives", () => {
    const group = channels({
      level: { topic: "pit", unit: "ft", path: "$.a", time: "$.t", scale: 1e300 },
      pump_on: { topic: "pit", path: "$.b[0]" },
      temperature: { topic: "pit", unit: "°C" },
    });
    fc.assert(
      fc.property(
        fc.oneof(
          fc.string(),
          fc.json(),
          fc.json().map((a) => `{"a":${a},"t":1772604600,"b":[${a}]}`),
        ),
        (payload) => {
          const { readings, problems } = readMessage("pit", group, { payload, retained: false, arrival_s });
          const numbers = readings
            .flatMap((reading) => Object.values(reading))
            .filter((value) => typeof value === "number");
          return (
            numbers.every(Number.isFinite) && problems.every((problem) => problem.startsWith("topic pit: expected"))
          );
        },
      ),
    );
  });
});

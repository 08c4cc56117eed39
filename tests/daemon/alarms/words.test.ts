import { describe, expect, it } from "vitest";
import type { AlarmFacts, AlarmInput } from "../../../analysis/alarms/alarm.ts";
import { alarmTable } from "../../../analysis/alarms/alarm-table.ts";
import { waterFacts } from "../../../analysis/alarms/water-facts.ts";
import { gsmLength } from "../../../daemon/alarms/gsm-alphabet.ts";
import { houseTime } from "../../../daemon/alarms/house-time.ts";
import { say, type Telling, voiceOf } from "../../../daemon/alarms/words.ts";
import { sayInVain, sayProof, sayUnproven } from "../../../daemon/alarms/words-of-ways.ts";
import { finding, input } from "../../analysis/alarms/alarm-input.ts";
import * as fc from "../../at-random.ts";

const voice = voiceOf({ name: "Hill House", displayUnits: "metric" }, houseTime("UTC"));
const asked = { code: 17, maybeRepeated: false, link: null };
const highWater = alarmTable.find(({ name }) => name === "high-water");
if (highWater === undefined) throw new Error("no high water in the table");
const water = (facts: AlarmFacts): Telling => ({ kind: "raised", definition: highWater, facts, from_s: 0, to_s: null });
const text = (facts: AlarmFacts, siteName = voice.siteName) => say([water(facts)], { ...voice, siteName }, asked).text;

/** Of any letters there are; fast-check's own takes a second to lay them out. */
const anyText = fc
  .array(fc.oneof(fc.integer({ min: 0, max: 0xd7ff }), fc.integer({ min: 0xe000, max: 0x10ffff }), fc.nat(127)), {
    maxLength: 60,
  })
  .map((codes) => String.fromCodePoint(...codes));
const maybe = (value: fc.Arbitrary<number>) => fc.option(value);
const share = fc.double({ min: 0, max: 1, noNaN: true });
const time_s = fc.double({ min: 0, max: 1e9, noNaN: true });
const level_m = fc.double({ min: -0.2, max: 5, noNaN: true });
const facts = fc.record({
  level_m: maybe(level_m),
  floor_level_m: maybe(level_m),
  rise_ms: maybe(fc.double({ min: -0.01, max: 0.01, noNaN: true })),
  to_floor_s: maybe(time_s),
  to_floor_earliest_s: maybe(time_s),
  to_floor_latest_s: maybe(time_s),
  pump_running: fc.option(fc.boolean()),
  mains_on: fc.option(fc.boolean()),
  unwatched_from_s: maybe(time_s),
  unwatched_to_s: maybe(time_s),
  inflow_day_m3: maybe(fc.double({ min: 0, max: 500, noNaN: true })),
  usual_day_m3: maybe(fc.double({ min: 0, max: 500, noNaN: true })),
  charge_share: maybe(share),
  last_run_s: maybe(time_s),
  as_of_s: maybe(time_s),
  unread_until_s: maybe(time_s),
  channel: fc.constantFrom("level", "pump_on", null),
  idle_pump: fc.constantFrom(1, 2, null),
  problem: fc.constantFrom("frozen", "out-of-water", "dropping-out", "re-zeroed", "another", null),
  last_level_m: maybe(level_m),
  high_mark_off_m: maybe(level_m),
  starts_in_last_hour: maybe(fc.nat(500)),
});
const telling: fc.Arbitrary<Telling> = fc.record({
  kind: fc.constantFrom("raised", "again", "worse", "over"),
  definition: fc.constantFrom(...alarmTable),
  facts,
  from_s: time_s,
  to_s: maybe(time_s),
});

describe("a text message", () => {
  it("is one, of 160 characters of the GSM alphabet (3GPP TS 23.038), whatever it tells, of whichever site", () => {
    fc.assert(
      fc.property(
        fc.array(telling, { minLength: 1, maxLength: 8 }),
        anyText,
        fc.constantFrom("us", "metric"),
        fc.option(fc.nat(999_999)),
        fc.boolean(),
        (tellings, siteName, displayUnits, code, maybeRepeated) => {
          const said = say(
            tellings as [Telling, ...Telling[]],
            { ...voice, siteName, displayUnits },
            { code, maybeRepeated, link: "https://basin.example.org/ack/17.abc" },
          );
          const length = gsmLength(said.text);
          expect(length, said.text).not.toBeNull();
          expect(length, said.text).toBeLessThanOrEqual(160);
          expect(said.text).not.toMatch(/\n|undefined|null|NaN| {2}/);
          // How to answer is never what is left out.
          if (code !== null && tellings.some(({ kind }) => kind !== "over")) expect(said.text).toContain(`OK ${code}.`);
        },
      ),
      { numRuns: 1000 },
    );
  });

  it("says for how long nothing has been read, and what the level was then, not how fast it rose", () => {
    const now = { ...input(7200, [], {}, { silentSince_s: 4800 }), toFloor: null };
    const situation = { ...now.situation, time_s: 4800, level_m: 0.41, levelRate_ms: 1e-4, pumpRunning: true };
    expect(text(waterFacts({ ...now, situation }))).toBe(
      "Hill House: HIGH WATER. Nothing read for 40 min; level was 410 mm. Check supply, pump and outlet from a dry place. Reply OK 17.",
    );
  });

  it("says of what has ended that it is over, not that it followed", () => {
    const stop = alarmTable.find(({ name }) => name === "pump-does-not-stop");
    if (stop === undefined) throw new Error("no such alarm in the table");
    const ended: Telling = { ...water({}), kind: "over", to_s: 60 };
    expect(say([{ ...water({}), definition: stop }, ended], voice, asked).subject).toBe(
      "Hill House: PUMP DOES NOT STOP; over: High water",
    );
    expect(say([ended, { ...water({}), definition: stop }], voice, asked).subject).toBe(
      "Hill House: over: High water, then PUMP DOES NOT STOP",
    );
  });

  it("names what is over beside a pump that does not start, or counts it as over where there is no room", () => {
    const [out, stop] = ["one-pump-out", "pump-does-not-stop"].map((name) =>
      alarmTable.find((each) => each.name === name),
    );
    if (out === undefined || stop === undefined) throw new Error("one of them is not in the table");
    const first: Telling = { ...water({ idle_pump: 2 }), definition: out };
    const over: Telling = { ...water({}), kind: "over", definition: stop, to_s: 60 };
    expect(say([first, over], voice, asked).text).toBe(
      "Hill House: ONE OF TWO PUMPS OUT; over: Pump does not stop. Pump 2 does not start. Check its plug, breaker, float from a dry place. Reply OK 17.",
    );
    const long = { ...voice, siteName: "A house of a longer name" };
    expect(say([first, over, over, { ...water({}), definition: stop }], long, asked).text).toMatch(
      /^A house of a longer name: ONE OF TWO PUMPS OUT, then 1 more; 2 over\. /,
    );
  });

  it("says of what came and went that it was not so all the while", () => {
    const lost = alarmTable.find(({ name }) => name === "supply-lost");
    if (lost === undefined) throw new Error("no supply lost in the table");
    const back = { kind: "over", definition: lost, facts: { came_and_went: true }, from_s: 0, to_s: 7200 } as const;
    expect(say([back], voice, asked).text).toBe("Hill House: Supply is back. It came and went for 2 h.");
    expect(say([{ ...back, from_s: 9000 }], voice, asked).text).toBe("Hill House: Supply is back."); // the clock was set back
  });

  it("says what a sensor at fault told last, and that it was at the floor", () => {
    const fault = (last_level_m: number) => [
      { ...finding("sensor-fault", 0), evidence: { channel: "level", problem: "frozen", last_level_m } },
    ];
    const said = (last_m: number) => text(waterFacts(input(900, fault(last_m), { level_m: null })));
    expect(said(0.41)).toContain("The sensor's last level was 410 mm.");
    expect(said(0.61)).toContain("The water was at the floor."); // which is at 0.6 m
  });

  it("says what is wrong with which sensor, or for how long none has said anything", () => {
    const lost = alarmTable.find(({ name }) => name === "sensor-lost");
    if (lost === undefined) throw new Error("no sensor lost in the table");
    const said = (now: AlarmInput) =>
      say([{ ...water({}), definition: lost, facts: lost.facts(now) }], voice, asked).text;
    const fault = (channel: string, problem: string) => [
      { ...finding("sensor-fault", 0), evidence: { channel, problem } },
    ];
    const rest = "Look at the basin, then at the sensor. Reply OK 17.";
    expect(said(input(900, fault("level", "frozen")))).toBe(
      `Hill House: SENSOR LOST. The level sensor is stuck. ${rest}`,
    );
    expect(said(input(900, fault("pump_on", "frozen")))).toContain("The pump's signal does not follow the pump.");
    expect(said(input(900, fault("high_float", "stuck-off")))).toContain(
      "The high float is down though the level is high.",
    );
    expect(said(input(900, fault("mains_on", "contradicted")))).toContain(
      "The supply's contact says there is none, but the pump runs.",
    );
    expect(said(input(900, [...fault("rain_mm", "frozen"), ...fault("float_on", "frozen")]))).toContain(
      "The float's contact does not follow the pump.",
    );
    const off = alarmTable.find(({ name }) => name === "sensor-reads-off");
    if (off === undefined) throw new Error("no sensor that reads off in the table");
    const moved = input(900, fault("level", "re-zeroed"));
    expect([lost.since(moved, null), off.since(moved, null)]).toEqual([null, 0]);
    expect(say([{ ...water({}), definition: off, facts: off.facts(moved) }], voice, asked).text).toBe(
      "Hill House: Level sensor reads off. The level sensor was set anew or moved. Measure the water from a dry place. Reply OK 17.",
    );
    expect(said(input(900, fault("level", "of-a-newer-kind")))).toBe(`Hill House: SENSOR LOST. ${rest}`);
    expect(said(input(900, [], {}, { silentSince_s: 0 }))).toContain("Nothing read for 15 min.");
  });

  it("says by how much the high mark reads off and which way, and of one set anew that it is learned as it is", () => {
    const off = alarmTable.find(({ name }) => name === "high-mark-off");
    if (off === undefined) throw new Error("no high mark in the table");
    const facts = { channel: "level", problem: "re-zeroed", high_mark_off_m: -0.08 };
    const told = { kind: "raised", definition: off, facts, from_s: 0, to_s: null } as const;
    const drifts = { ...told, facts: { ...facts, problem: "zero-drift" } };
    expect(say([drifts], voice, asked).text).toBe(
      "Hill House: High-water mark reads off. The level reads 80 mm low there: the warning comes too late. Measure the water from a dry place. Reply OK 17.",
    );
    expect(say([told], voice, asked).text).toBe(
      "Hill House: High-water mark reads off. The sensor, set anew or moved, reads 80 mm lower. Is that right? Measure the water from a dry place. Reply OK 17.",
    );
    expect(say([{ ...told, kind: "over", to_s: 7200 }], voice, asked).text).toBe(
      "Hill House: over: High-water mark reads off. It lasted 2 h. What it reads now is taken as right: check that the high-water mark still fits.",
    );
  });

  it("proves a channel within one message, too", () => {
    for (const kind of ["test", "monthly"] as const)
      expect(gsmLength(sayProof({ ...voice, siteName: "Ж".repeat(60) }, kind).text)).toBeLessThanOrEqual(160);
  });

  it("says within one that an answer fits nothing", () => {
    const { text } = sayInVain({ ...voice, siteName: "M".repeat(60) }, { said: 999_999_999_999_999 });
    expect(gsmLength(text)).toBeLessThanOrEqual(160);
    expect(text).toMatch(/^M+\.: Your answer 9+ fits no alarm that lasts, .* reply OK without a number\.$/);
  });

  it("says within one that a proof failed, whoever it was for and whatever the reason", () => {
    fc.assert(
      fc.property(anyText, fc.string({ maxLength: 40 }), fc.option(fc.string()), (contact, by, reason) => {
        const { text } = sayUnproven({ ...voice, siteName: contact }, { contact, by, reason });
        expect(gsmLength(text), text).toBeLessThanOrEqual(160);
        expect(text).toMatch(/proof.*failed.* An alarm would not arrive that way, either: see the page\.$/);
      }),
    );
  });

  it("tells the end of a power cut as what it is", () => {
    const supply = alarmTable.find(({ name }) => name === "supply-lost");
    if (supply === undefined) throw new Error("no supply lost in the table");
    const over: Telling = {
      kind: "over",
      definition: supply,
      facts: { level_m: 0.2, mains_on: true },
      from_s: 0,
      to_s: 7200,
    };
    expect(say([over], voice, asked).text).toBe("Hill House: Supply is back. It was gone for 2 h. Level 200 mm.");
  });

  it("says when the water reaches the floor, within a minute, and that it is there also when it rises no more", () => {
    const floor = { level_m: 0.4, floor_level_m: 0.5 };
    expect(text({ ...floor, to_floor_s: 840, to_floor_earliest_s: 540, to_floor_latest_s: 1200 })).toContain(
      "Reaches the floor in about 14 min at this rate (9 to 20).",
    );
    expect(text({ ...floor, to_floor_s: 840, to_floor_earliest_s: 540, to_floor_latest_s: 90_000 })).toContain(
      "(9 or more)",
    );
    expect(text({ ...floor, to_floor_s: 50 })).toContain("Reaches the floor within a minute.");
    expect(text({ level_m: 0.5, floor_level_m: 0.5, to_floor_s: null })).toContain("The water is at the floor.");
    expect(text({ ...floor, to_floor_s: 400_000 })).not.toContain("floor");
  });

  it("keeps of a site's name what the alphabet has", () => {
    expect(text({}, "🏠 Hill House 🏡")).toMatch(/^Hill House: HIGH WATER\./);
    expect(text({}, "Žďár—mill")).toMatch(/^Zdár-mill|^Zdar-mill/);
    expect(text({}, "Дом")).toMatch(/^Basin: HIGH WATER\./);
  });
});

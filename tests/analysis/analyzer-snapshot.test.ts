import { deserialize, serialize } from "node:v8";
import { describe, expect, it } from "vitest";
import { type Analyzer, createAnalyzer } from "../../analysis/analyzer.ts";
import type { Reading } from "../../analysis/readings/reading.ts";
import type { Site } from "../../analysis/site.ts";
import * as fc from "../at-random.ts";
import { listen, type Said } from "./analyse.ts";
import { anyReadings, anySite } from "./arbitrary-readings.ts";
import { courseReadings, smallSite } from "./small-basin.ts";

type Copy = (state: unknown) => unknown;

/** Analyses with a stop after `cut` readings, from a copy of the state then. */
function analyseInTwo(site: Site, readings: readonly Reading[], cut: number, copy: Copy) {
  const { said, options } = listen();
  const before = createAnalyzer(site, options);
  for (const reading of readings.slice(0, cut)) before.push(reading);
  const snapshot = copy(before.snapshot());
  const after = createAnalyzer(site, { ...options, resume: snapshot });
  expect(after.situation()).toEqual(before.situation());
  expect(after.summary()).toEqual(before.summary());
  for (const reading of readings.slice(cut)) after.push(reading);
  after.finish();
  return allOf(after, said);
}

/** All that it has said and would say, and all that it remembers, from which the rest follows. */
function allOf(analyzer: Analyzer, said: Said) {
  const { summary, overAll, situation, snapshot } = analyzer;
  return { said, summary: summary(), figures: overAll(), situation: situation(), state: snapshot() };
}

function analyseInOne(site: Site, readings: readonly Reading[]) {
  const { said, options } = listen();
  const analyzer = createAnalyzer(site, options);
  for (const reading of readings) analyzer.push(reading);
  analyzer.finish();
  return allOf(analyzer, said);
}

const throughDisk: Copy = (state) => deserialize(serialize(state));

describe("snapshot", () => {
  it.each([
    ["cloned", structuredClone as Copy],
    ["written and read as the daemon does", throughDisk],
  ])(
    "carries on at any reading of any recording as if it had never stopped, %s",
    (_, copy) => {
      fc.assert(
        fc.property(anySite, anyReadings, fc.double({ min: 0, max: 1, noNaN: true }), (site, readings, part) => {
          const cut = Math.floor(part * (readings.length + 1));
          expect(analyseInTwo(site, readings, cut, copy)).toEqual(analyseInOne(site, readings));
        }),
        { numRuns: 20 },
      );
    },
    60_000,
  );

  it("carries on at every single reading of two cycles", () => {
    const readings = courseReadings(460, { interval_s: 4 });
    const whole = analyseInOne(smallSite, readings);
    for (let cut = 0; cut <= readings.length; cut++) {
      expect(analyseInTwo(smallSite, readings, cut, structuredClone)).toEqual(whole);
    }
  });

  it("is not touched by what is pushed after its copy was made", () => {
    const readings = courseReadings(700);
    const analyzer = createAnalyzer(smallSite);
    for (const reading of readings.slice(0, 300)) analyzer.push(reading);
    const kept = throughDisk(analyzer.snapshot());
    const bytes = serialize(kept);
    for (const reading of readings.slice(300)) analyzer.push(reading);
    expect(serialize(kept).equals(bytes)).toBe(true);
  });

  it("stays under 110 kB however long the recording is, and as large as it was after a day", () => {
    const analyzer = createAnalyzer(smallSite);
    const bytes: number[] = [];
    courseReadings(100_000, { interval_s: 5 }).forEach((reading, i) => {
      analyzer.push(reading);
      if (i % 1000 === 0) bytes.push(serialize(analyzer.snapshot()).length);
    });
    expect(Math.max(...bytes)).toBeLessThan(110_000);
    // A number that happens to be whole takes fewer bytes than one that does not.
    const day = 18;
    expect(Math.max(...bytes.slice(day)) / Math.max(...bytes.slice(0, day))).toBeLessThan(1.02);
  });

  it("begins anew from what is no state", () => {
    for (const resume of [undefined, null, 7, "state", {}, []]) {
      expect(createAnalyzer(smallSite, { resume }).summary()).toEqual(createAnalyzer(smallSite).summary());
    }
  });
});

// What lasts is one finding: over gaps in the readings, over restarts at any moment, over a clock that is set back; and
// one row in the daemon's record.

import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../analysis/analyzer.ts";
import type { Finding, FindingChange, FindingKind } from "../../analysis/findings/finding.ts";
import type { Reading } from "../../analysis/readings/reading.ts";
import { type DeriveParts, deriveAnew, resumeAnalysis, saveCheckpoint } from "../../daemon/derive.ts";
import { openSqliteStore } from "../../daemon/stores/sqlite-store.ts";
import { courseReadings, cycle_s, reading, smallSite, startTime_s } from "../analysis/small-basin.ts";

interface Told {
  readonly change: FindingChange;
  readonly finding: Finding;
}

/** Through the analysis, taken apart and put together again after every `every` readings. */
function tell(readings: readonly Reading[], every = Number.POSITIVE_INFINITY): Told[] {
  const told: Told[] = [];
  const sink = {
    finding: (finding: Finding, change: FindingChange) => {
      told.push({ finding, change });
    },
  };
  let analyzer = createAnalyzer(smallSite, { sink });
  for (const [i, each] of readings.entries()) {
    analyzer.push(each);
    if (i % every === every - 1) {
      analyzer = createAnalyzer(smallSite, { sink, resume: structuredClone(analyzer.snapshot()) });
    }
  }
  return told;
}

function changesOf(told: readonly Told[], kind: FindingKind): FindingChange[] {
  return told
    .filter(({ finding, change }) => finding.kind === kind && change !== "updated")
    .map(({ change }) => change);
}

const healthy_s = 10 * cycle_s;
const healthy = courseReadings(healthy_s - 1);

/** A reading a second after the healthy course. */
function after(duration_s: number, at: (after_s: number) => Partial<Reading>): Reading[] {
  return Array.from({ length: duration_s }, (_, i) => reading(startTime_s + healthy_s + i, at(i)));
}

/** The motor has tripped: the water rises by 1 mm/s to 0.55 m and stands; at `until_s` it runs again. */
function tripped(until_s: number) {
  return (after_s: number): Partial<Reading> => {
    const risen_m = Math.min(0.55, 0.1 + 0.001 * after_s);
    if (after_s < until_s) return { level_m: risen_m, pumpOn: false, highFloat: risen_m > 0.45 };
    const level_m = Math.max(0.1, 0.55 - 0.01 * (after_s - until_s));
    return { level_m, pumpOn: level_m > 0.1, highFloat: level_m > 0.43 };
  };
}

/** Nothing is heard from `from_s` to `to_s` after the healthy course. */
function withGap(readings: readonly Reading[], from_s: number, to_s: number): Reading[] {
  const begin_s = startTime_s + healthy_s;
  return readings.filter(({ time_s }) => time_s < begin_s + from_s || time_s >= begin_s + to_s);
}

const longTrip = [...healthy, ...after(9000, tripped(8000))];
const trip: readonly FindingKind[] = ["high-water", "float-stuck-off"];

describe("a finding", () => {
  it.each(trip)("%s that begins before a gap and ends after it is one", (kind) => {
    const told = tell(withGap(longTrip, 1000, 7500));
    expect(changesOf(told, kind)).toEqual(["began", "ended"]);
    const last = told.findLast(({ finding }) => finding.kind === kind)?.finding;
    expect(last?.from_s).toBeLessThan(startTime_s + healthy_s + 1000);
    expect(last?.to_s).toBeGreaterThan(startTime_s + healthy_s + 7990);
  });

  it.each(trip)("%s that is over when readings come again ends with them, not before", (kind) => {
    const told = tell(withGap(longTrip, 1000, 8100));
    expect(changesOf(told, kind)).toEqual(["began", "ended"]);
    const last = told.findLast(({ finding }) => finding.kind === kind)?.finding;
    expect(last?.to_s).toBe(startTime_s + healthy_s + 8100);
  });

  it("is not made of two looks with a gap between: what was about to begin begins anew", () => {
    // The high level is reached 350 s after the stop; ten seconds of it make high water.
    const told = tell(withGap(longTrip, 355, 7000));
    const [first] = told.filter(({ finding }) => finding.kind === "high-water");
    expect(first?.finding.from_s).toBe(startTime_s + healthy_s + 7000);
  });

  it("outlasts a supply that nobody watches for a while", () => {
    const mains = after(3000, (s) => ({
      level_m: 0.2,
      pumpOn: false,
      mainsOn: s < 1000 || s >= 2500 ? s < 500 || s >= 2500 : null,
    }));
    expect(changesOf(tell([...healthy, ...mains]), "power-lost")).toEqual(["began", "ended"]);
    expect(changesOf(tell(withGap([...healthy, ...mains], 900, 2000)), "power-lost")).toEqual(["began", "ended"]);
  });

  it.each([1, 97, 1000])("is the same when the analysis is resumed after every %d readings", (every) => {
    const part = longTrip.slice(every === 1 ? healthy_s - 100 : 0, healthy_s + 1200);
    expect(tell(part, every)).toEqual(tell(part));
  });

  it("is one while the clock is set back by an hour in the middle of it", () => {
    const back = longTrip.map((each) =>
      each.time_s < startTime_s + healthy_s + 3000 ? each : { ...each, time_s: each.time_s - 3600 },
    );
    const told = tell(back);
    for (const kind of trip) expect(changesOf(told, kind)).toEqual(["began", "ended"]);
  });
});

describe("the daemon's record of a finding", () => {
  const span = { from_s: 0, to_s: 1e11 };

  /** Feeds the store as the daemon does; at every time in `restarts` it is started again, with or without its place kept. */
  function recorded(readings: readonly Reading[], restarts: readonly { at: number; kept: boolean }[]) {
    const store = openSqliteStore(":memory:");
    const parts: DeriveParts = { site: smallSite, store, createAnalyzer, version: "1" };
    let { analyzer } = resumeAnalysis(parts);
    for (const [i, each] of readings.entries()) {
      store.append(each);
      analyzer.push(each);
      const restart = restarts.find(({ at }) => at === i);
      if (restart === undefined) continue;
      if (restart.kept) saveCheckpoint(parts, analyzer);
      analyzer = resumeAnalysis(parts).analyzer;
    }
    store.flush();
    const findings = store.findings(span, 1000);
    deriveAnew(parts);
    store.flush();
    return { findings, rebuilt: store.findings(span, 1000) };
  }

  it("has one row for it, whenever the daemon was started again, and the same when it is rebuilt", () => {
    const part = longTrip.slice(0, healthy_s + 1200).concat(longTrip.slice(healthy_s + 7900));
    const unbroken = recorded(part, []);
    const broken = recorded(part, [
      { at: healthy_s + 100, kept: true },
      { at: healthy_s + 352, kept: false },
      { at: healthy_s + 400, kept: true },
      { at: healthy_s + 900, kept: false },
      { at: healthy_s + 1300, kept: true },
    ]);
    expect(broken.findings).toEqual(unbroken.findings);
    expect(broken.rebuilt).toEqual(unbroken.findings);
    for (const kind of trip) {
      const rows = broken.findings.filter((finding) => finding.kind === kind);
      expect(rows).toHaveLength(1);
      expect(rows[0]?.to_s).not.toBeNull();
    }
  });
});

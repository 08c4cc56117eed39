import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../analysis/analyzer.ts";
import { type Reading, silentReading } from "../../analysis/readings/reading.ts";
import type { DischargeSite } from "../../analysis/site.ts";
import { deriveAnew, resumeAnalysis, saveCheckpoint } from "../../daemon/derive.ts";
import { openSqliteStore } from "../../daemon/stores/sqlite-store.ts";
import type { Store } from "../../daemon/stores/store.ts";
import { site } from "./server/parts.ts";

// 400 s at 0.5 mm/s from 0.15 m to 0.35 m, then 20 s of the pump at 10 mm/s, over and over; the supply fails once.
function readingAt(time_s: number): Reading {
  const phase_s = time_s % 420;
  const pumpOn = phase_s >= 400;
  const level_m = pumpOn ? 0.35 - 0.01 * (phase_s - 400) : 0.15 + 0.0005 * phase_s;
  return { ...silentReading, time_s, level_m, pumpOn, mainsOn: time_s < 5000 || time_s > 5100 };
}

const length_s = 6000;

const otherDischarge: DischargeSite = {
  highPoint_m: 3.21,
  pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: 8 },
  fittings: [],
};

function parts(store: Store, version = "1", itsSite = site) {
  return { site: itsSite, store, createAnalyzer, version };
}

function derived(store: Store) {
  const span = { from_s: 0, to_s: length_s };
  return { cycles: store.cycles(span, 1e6), findings: store.findings(span, 1e6), inflow: store.inflow(span, 1e6) };
}

function feed(store: Store, take: { push(reading: Reading): void }, from_s: number, to_s: number): void {
  for (let time_s = from_s; time_s < to_s; time_s++) {
    const reading = readingAt(time_s);
    store.append(reading);
    take.push(reading);
  }
}

/** What a run without a stop derives. */
function unbroken() {
  const store = openSqliteStore(":memory:");
  const { analyzer } = resumeAnalysis(parts(store));
  feed(store, analyzer, 0, length_s);
  return { store, analyzer };
}

describe("resumeAnalysis", () => {
  const whole = unbroken();

  it("has something to derive", () => {
    const { cycles, findings, inflow } = derived(whole.store);
    expect(cycles).toHaveLength(14); // ⌊6000 / 420⌋
    expect(findings.map(({ kind }) => kind)).toContain("power-lost");
    expect(inflow.length).toBeGreaterThan(0);
  });

  it.each([7, 4205, 5050])("carries on after a stop at %i s as if there had been none", (stop_s) => {
    const store = openSqliteStore(":memory:");
    const first = resumeAnalysis(parts(store)).analyzer;
    feed(store, first, 0, stop_s);
    saveCheckpoint(parts(store), first);
    const second = resumeAnalysis(parts(store));
    expect([second.from, second.readings]).toEqual(["checkpoint", 0]);
    feed(store, second.analyzer, stop_s, length_s);
    expect(derived(store)).toEqual(derived(whole.store));
    expect(second.analyzer.situation()).toEqual(whole.analyzer.situation());
    expect(second.analyzer.summary()).toEqual(whole.analyzer.summary());
  });

  it("goes through what came after the checkpoint again, and doubles nothing", () => {
    const store = openSqliteStore(":memory:");
    const first = resumeAnalysis(parts(store)).analyzer;
    feed(store, first, 0, 3000);
    saveCheckpoint(parts(store), first);
    feed(store, first, 3000, 4500); // then the power goes away
    const second = resumeAnalysis(parts(store));
    expect([second.from, second.readings]).toEqual(["checkpoint", 1500]);
    feed(store, second.analyzer, 4500, length_s);
    expect(derived(store)).toEqual(derived(whole.store));
  });

  it.each([
    ["another version of the program", "2", site],
    ["another basin", "1", { ...site, basin: { ...site.basin, startLevel_m: 0.34 } }],
    ["another pump", "1", { ...site, pump: { curve: null, maxStartsPerHour: 7, minRun_s: null } }],
    ["another discharge", "1", { ...site, discharge: otherDischarge }],
    ["another design rule", "1", { ...site, design: { inflowFactor: 1.75 } }],
  ])("does not carry on from a checkpoint of %s", (_what, version, itsSite) => {
    const store = openSqliteStore(":memory:");
    const first = resumeAnalysis(parts(store)).analyzer;
    feed(store, first, 0, 2000);
    saveCheckpoint(parts(store), first);
    const second = resumeAnalysis(parts(store, version, itsSite));
    expect([second.from, second.readings]).toEqual(["beginning", 2000]);
  });

  it("does not carry on from a checkpoint of another build that did not remember all that this one does", () => {
    const store = openSqliteStore(":memory:");
    const first = resumeAnalysis(parts(store)).analyzer;
    feed(store, first, 0, 2000);
    const { briefRuns: _, ...less } = structuredClone(first.snapshot()) as Record<string, unknown>;
    saveCheckpoint(parts(store), { ...first, snapshot: () => less });
    const second = resumeAnalysis(parts(store));
    expect([second.from, second.readings]).toEqual(["beginning", 2000]);
  });

  it("carries on where only the site's name, its time zone or the units shown are others", () => {
    const store = openSqliteStore(":memory:");
    const first = resumeAnalysis(parts(store)).analyzer;
    feed(store, first, 0, 2000);
    saveCheckpoint(parts(store), first);
    const displayUnits = site.displayUnits === "us" ? "metric" : "us";
    const renamed = { ...site, name: "Under the stairs", timezone: "Pacific/Auckland", displayUnits } as const;
    const second = resumeAnalysis(parts(store, "1", renamed));
    expect([second.from, second.readings]).toEqual(["checkpoint", 0]);
  });

  it("tells the listener only what is found from now on", () => {
    const store = openSqliteStore(":memory:");
    feed(store, { push: () => {} }, 0, 2000);
    const told: number[] = [];
    const { analyzer } = resumeAnalysis({
      ...parts(store),
      listener: { cycle: (cycle) => told.push(cycle.startedAt_s) },
    });
    expect(told).toEqual([]);
    feed(store, analyzer, 2000, 2600);
    expect(Math.min(...told)).toBeGreaterThan(1600);
  });
});

describe("deriveAnew", () => {
  it("gives to the last digit what the daemon had derived as the readings came", () => {
    const { store } = unbroken();
    const before = derived(store);
    deriveAnew(parts(store));
    expect(derived(store)).toEqual(before);
  });

  it("drops what the readings do not bear out", () => {
    const { store } = unbroken();
    const before = derived(store);
    store.saveFinding({ kind: "high-water", severity: "critical", from_s: 1, to_s: null, evidence: {}, message: "" });
    deriveAnew(parts(store));
    expect(derived(store)).toEqual(before);
  });
});

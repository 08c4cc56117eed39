import { describe, expect, it } from "vitest";
import type { Situation } from "../../analysis/analyzer.ts";
import type { Finding, FindingKind, Severity } from "../../analysis/findings/finding.ts";
import { oneStuckOff } from "../../analysis/findings/one-stuck-off.ts";
import type { BasinSite } from "../../analysis/site.ts";
import { type NowFacts, nowSentence } from "../../dashboard/now-sentence.ts";

const now_s = 1_770_000_000;

const basin: BasinSite = {
  geometry: { shape: "round", diameter_m: 0.457, occupiedArea_m2: 0 },
  depth_m: 0.762,
  startLevel_m: 0.36,
  stopLevel_m: 0.15,
  highLevel_m: 0.51,
  overflowLevel_m: 0.762,
};

const healthy: Situation = {
  time_s: now_s - 1,
  level_m: 0.25,
  pumpRunning: false,
  pumpSince_s: now_s - 240,
  floatOn: false,
  highFloat: false,
  mainsOn: true,
  inflow: { flow_m3s: 6e-5, uFlow_m3s: 1e-6, degreesOfFreedom: 50 },
  pumpRate: { flow_m3s: 1.5e-3, uFlow_m3s: 2e-5, degreesOfFreedom: 12 },
  levelRate_ms: 4e-4,
  startsInLastHour: 5,
  openFindings: [],
};

function facts(situation: Partial<Situation>, rest: Partial<NowFacts> = {}): NowFacts {
  return {
    situation: { ...healthy, ...situation },
    basin,
    now_s,
    readingAge_s: 1,
    connected: true,
    ended: false,
    ...rest,
  };
}

function finding(kind: FindingKind, severity: Severity = "critical"): Finding {
  return { kind, severity, from_s: now_s - 600, to_s: null, evidence: {}, message: `What to do about ${kind}.` };
}

describe("the first sentence", () => {
  it("is calm about a healthy basin and says for how long the pump has not run", () => {
    expect(nowSentence(facts({}))).toEqual({
      tone: "calm",
      headline: "Dry and keeping up.",
      detail: "The pump has not run for 4 min.",
      advice: null,
      note: null,
    });
  });

  it("says that the pump runs, and for how long", () => {
    const { headline, detail } = nowSentence(facts({ pumpRunning: true, pumpSince_s: now_s - 12 }));
    expect(`${headline} ${detail}`).toBe("Dry and keeping up. The pump has run for 12 s.");
  });

  it("says which of two pumps runs, by name where the site file gives one", () => {
    const running = { pumpRunning: true, pumpSince_s: now_s - 180 };
    const standby = nowSentence(facts({ ...running, pumpsRunning: [false, true] }, { pumpNames: ["Main", "Standby"] }));
    expect(standby.detail).toBe("Pumping for 3 min: Standby.");
    expect(nowSentence(facts({ ...running, pumpsRunning: [true, true] })).detail).toBe(
      "Pumping for 3 min: pump 1 and pump 2.",
    );
    expect(nowSentence(facts({ pumpsRunning: [false, false] })).detail).toBe("No pump has run for 4 min.");
  });

  it("calls nobody for one of two pumps that does not start, and names it", () => {
    const idle = { ...finding("float-stuck-off", oneStuckOff.severity), evidence: { pump: 2 } };
    expect(nowSentence(facts({ openFindings: [idle] }))).toMatchObject({
      tone: "watch",
      note: "Pump 2 does not start.",
    });
  });

  it("claims no keeping up before both flows were measured", () => {
    expect(nowSentence(facts({ pumpRate: null })).headline).toBe("Dry.");
  });

  it("claims no dryness that nothing measures", () => {
    expect(nowSentence(facts({ level_m: null, highFloat: null })).headline).toBe(
      "No high water is reported. The pump keeps up.",
    );
    expect(nowSentence(facts({ level_m: null, highFloat: null, pumpRunning: null })).tone).toBe("unknown");
  });

  it("claims no dryness by a level that cannot be trusted", () => {
    const openFindings = [finding("sensor-fault", "warning")];
    expect(nowSentence(facts({ highFloat: null, openFindings })).headline).toBe(
      "No high water is reported. The pump keeps up.",
    );
    expect(nowSentence(facts({ highFloat: false, openFindings }))).toMatchObject({
      headline: "Dry and keeping up.",
      note: "A sensor cannot be trusted.",
    });
  });

  it("says that the pump is not keeping up, and when the floor is reached", () => {
    // 0.762 − 0.575 = 0.187 m at 7e-5 m/s: 2671 s, 45 min.
    const sentence = nowSentence(
      facts({
        level_m: 0.575,
        highFloat: true,
        pumpRunning: true,
        pumpSince_s: now_s - 1260,
        levelRate_ms: 7e-5,
        openFindings: [finding("inflow-exceeds-pump"), finding("high-water")],
      }),
    );
    expect(sentence.tone).toBe("act");
    expect(sentence.headline).toBe("High water. The pump runs and is not keeping up.");
    expect(sentence.detail).toBe("The pump has run for 21 min. Rising as now, it reaches the floor in about 45 min.");
    expect(sentence.advice).toBe("What to do about high-water.");
  });

  it.each([
    [{ pumpRunning: false }, "High water. The pump is not running."],
    [{ pumpRunning: true, levelRate_ms: -1e-4 }, "High water. The pump runs and the water is going down."],
    [{ pumpRunning: true, levelRate_ms: 0 }, "High water. The pump runs and holds the water where it is."],
    [{ pumpRunning: null }, "High water. It is not known whether the pump runs."],
    [{ pumpRunning: false, mainsOn: false }, "High water. There is no power for the pump."],
    [{ level_m: 0.78, pumpRunning: false }, "Water has reached the floor. The pump is not running."],
  ])("tells high water apart: %o", (situation, headline) => {
    const at = { level_m: 0.6, levelRate_ms: 1e-4, openFindings: [finding("high-water")], ...situation };
    expect(nowSentence(facts(at)).headline).toBe(headline);
  });

  it("puts the most urgent finding first and passes on what to do", () => {
    const sentence = nowSentence(
      facts({ openFindings: [finding("pump-worn", "warning"), finding("float-stuck-off")] }),
    );
    expect(sentence.tone).toBe("act");
    expect(sentence.headline).toBe("The pump does not start.");
    expect(sentence.advice).toBe("What to do about float-stuck-off.");
  });

  it("gives what is not urgent one line, however long it has been open, and the headline to the water", () => {
    expect(nowSentence(facts({ openFindings: [finding("undersized", "warning")] }))).toEqual({
      tone: "watch",
      headline: "Dry and keeping up.",
      detail: "The pump has not run for 4 min.",
      advice: null,
      note: "The pump is small for the worst so far.",
    });
  });

  it("counts what else is open in that line, and drops it for what is urgent", () => {
    const warnings = [finding("undersized", "warning"), finding("pump-worn", "warning")];
    expect(nowSentence(facts({ openFindings: warnings })).note).toBe(
      "The pump is small for the worst so far, and 1 more.",
    );
    const { advice, note } = nowSentence(facts({ openFindings: [...warnings, finding("float-stuck-off")] }));
    expect([advice, note]).toEqual(["What to do about float-stuck-off.", null]);
  });

  it("does not pass old readings off as the present", () => {
    const sentence = nowSentence(facts({}, { readingAge_s: 360 }));
    expect(sentence.tone).toBe("unknown");
    expect(sentence.headline).toBe("No reading for 6 min. Before that: dry and keeping up.");
  });

  it("keeps an emergency in sight when the connection goes", () => {
    const sentence = nowSentence(
      facts({ pumpRunning: false, openFindings: [finding("high-water")] }, { connected: false }),
    );
    expect(sentence.tone).toBe("act");
    expect(sentence.headline).toBe("Not connected. Last known: high water. The pump is not running.");
  });

  it("says that a recording has ended", () => {
    expect(nowSentence(facts({}, { ended: true })).headline).toBe(
      "The recording has ended. At its end: dry and keeping up.",
    );
  });

  it("knows nothing before the first reading", () => {
    expect(nowSentence(facts({ time_s: null }, { readingAge_s: null })).headline).toBe("No reading yet.");
  });
});

import { describe, expect, it } from "vitest";
import { rules } from "../../analysis/findings/index.ts";
import { evidenceLines } from "../../dashboard/evidence.ts";
import { evidenceWord } from "../../dashboard/evidence-words.ts";
import { siteTime } from "../../dashboard/site-time.ts";
import { viewOf } from "../analysis/findings/view.ts";

const utc = siteTime("UTC");

describe("evidence in a reader's units", () => {
  it("converts by the suffix of the key", () => {
    const evidence = {
      level_m: 0.508,
      levelRate_ms: 0.0254 / 60,
      activeVolume_m3: 0.0378541,
      uInflow_m3s: 6.30902e-5,
      longest_s: 840,
      staticHead_m: 3.048,
      current_a: 6.24,
      power_w: 512.4,
    };
    expect(evidenceLines(evidence, "us", utc)).toEqual([
      { label: "water level", value: "20.0 in" },
      { label: "level rate", value: "1.00 in/min" },
      { label: "active volume", value: "10.00 gal" },
      { label: "inflow, standard uncertainty", value: "1.0 gpm" },
      { label: "longest", value: "14 min" },
      { label: "static head", value: "10.0 ft" },
      { label: "current", value: "6.2 A" },
      { label: "power", value: "512 W" },
    ]);
  });

  it("says which level was the first where the highest stands beside it", () => {
    const lines = evidenceLines({ level_m: 0.4, highest_level_m: 0.52 }, "metric", utc);
    expect(lines.map(({ label }) => label)).toEqual(["water level at first", "highest level"]);
  });

  it("tells an instant from a length of time", () => {
    const lines = evidenceLines({ lastSeenAt_s: Date.UTC(2026, 2, 4, 6, 10) / 1000, since_s: 90 }, "us", utc);
    expect(lines).toEqual([
      { label: "last seen at", value: "Wed 4 Mar, 06:10" },
      { label: "since", value: "1 min 30 s" },
    ]);
  });

  it("finds the name before the unit", () => {
    const evidence = { peak_600_s_m3s: 6.30901964e-4, starts_in_an_hour: 26, maxStartsPerHour: 20 };
    expect(evidenceLines(evidence, "us", utc)).toEqual([
      { label: "highest inflow over 10 min", value: "10.0 gpm" },
      { label: "starts in an hour", value: "26" },
      { label: "max starts per hour", value: "20" },
    ]);
  });

  it.each(rules)("has words for every figure of $kind", ({ evidence }) => {
    expect(Object.keys(evidence(viewOf())).filter((key) => !(key in evidenceWord))).toEqual([]);
  });

  it("leaves out what the site file does not set, and says what could not be measured", () => {
    const evidence = { last_run_s: 45, min_run_s: null, mains_on: null, pump_rate_m3s: null, inflow_factor: 1.5 };
    expect(evidenceLines(evidence, "us", utc)).toEqual([
      { label: "last run", value: "45 s" },
      { label: "pump moves", value: "not known" },
      { label: "allowance over it", value: "× 1.5" },
    ]);
  });

  it("leaves counts, words and unknowns readable", () => {
    const evidence = { starts_in_an_hour: 20, ratio: 1.234, cause: "float-chatter", seen: true, level_m: null };
    expect(evidenceLines(evidence, "metric", utc).map(({ value }) => value)).toEqual([
      "20",
      "1.23",
      "the float flickers",
      "yes",
      "not known",
    ]);
  });
});

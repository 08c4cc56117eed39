import { describe, expect, it } from "vitest";
import { evidenceLines } from "../../dashboard/evidence.ts";
import { siteTime } from "../../dashboard/site-time.ts";

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
      { label: "level", value: "20.0 in" },
      { label: "level rate", value: "1.00 in/min" },
      { label: "active volume", value: "10.00 gal" },
      { label: "inflow, standard uncertainty", value: "1.0 gpm" },
      { label: "longest", value: "14 min" },
      { label: "static head", value: "10.0 ft" },
      { label: "current", value: "6.2 A" },
      { label: "power", value: "512 W" },
    ]);
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

  it("leaves counts, words and unknowns readable", () => {
    const evidence = { starts_in_an_hour: 20, ratio: 1.234, cause: "float-chatter", seen: true, level_m: null };
    expect(evidenceLines(evidence, "metric", utc).map(({ value }) => value)).toEqual([
      "20",
      "1.23",
      "float chatter",
      "yes",
      "not known",
    ]);
  });
});

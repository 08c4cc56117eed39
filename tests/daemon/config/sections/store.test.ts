import { describe, expect, it } from "vitest";
import { parseSiteFile } from "../../../../daemon/config/parse-site-file.ts";

const parse = (store: string) =>
  parseSiteFile(`basin: { shape: round, diameter: 18 in }\nstore: ${store}\n`, "/sites/site.yaml", []);

describe("store", () => {
  it("stands beside the site file, and says how long readings are kept, channel by channel", () => {
    const parsed = parse("{ flush: 1 s, keep_readings: 90 d, keep: { rain: 3650 d, pump_current: 30 d } }");
    expect(parsed.ok && parsed.siteFile.store).toEqual({
      path: "/sites/site.sqlite",
      flush_s: 1,
      keepReadings_s: 90 * 86_400,
      keepChannels_s: { rain_m: 3650 * 86_400, pumpCurrent_a: 30 * 86_400 },
    });
  });

  it("leaves open what is not stated", () => {
    const parsed = parse("{}");
    expect(parsed.ok && parsed.siteFile.store).toEqual({ path: "/sites/site.sqlite" });
  });

  it.each([
    ["{ keep: { rain: 1 d } }", "store.keep.rain: expected at least 7 d, found 1 d"],
    ["{ keep: { rains: 10 d } }", "store.keep.rains: unknown key; did you mean rain?"],
    ["{ keep: 90 d }", "store.keep: expected"],
  ])("refuses %s", (text, problem) => {
    const parsed = parse(text);
    expect(parsed.ok ? [] : parsed.problems.map(({ text: line }) => line).join("\n")).toContain(problem);
  });
});

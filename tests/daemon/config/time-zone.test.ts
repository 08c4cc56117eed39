import { describe, expect, it } from "vitest";
import { timeZone } from "../../../daemon/config/time-zone.ts";

const accepts = (name: string) => timeZone.safeParse(name).success;

describe("timeZone", () => {
  it("knows every zone that the runtime names, links to them, and offsets", () => {
    const names = [...Intl.supportedValuesOf("timeZone"), "US/Eastern", "Asia/Calcutta", "UTC", "+05:00", "-0330"];
    expect(names.filter((name) => !accepts(name))).toEqual([]);
  });

  it.each(["Mars", "", "America/Torronto", "2026-03-02T20:00:00Z", "2026-03-02[America/Toronto]", "+25:00", "20:00"])(
    "refuses %o",
    (name) => {
      expect(accepts(name)).toBe(false);
    },
  );
});

import { describe, expect, it } from "vitest";
import { toSi } from "../../../analysis/units/unit.ts";
import { figures, words } from "../../../analysis/units/words.ts";

describe("quantities in words", () => {
  it("are in the site's own units, to three figures", () => {
    const us = words("us");
    expect(us.flow(toSi(45.28, "gpm"))).toBe("45.3 gpm");
    expect(us.head(3.048)).toBe("10 ft");
    expect(us.level(0.3556)).toBe("14 in");
    expect(us.velocity(0.6096)).toBe("2 ft/s");
    expect(us.perHeight(toSi(254.469, "in2"))).toBe("1.1 gal per inch");
    expect(words("metric").perHeight(0.164173)).toBe("1.64 L per centimetre");
    expect(words("metric").flow(toSi(171.4, "L/min"))).toBe("171 L/min");
  });

  it.each([
    [44.96, "45 s"],
    [725, "12.1 min"],
    [12_300, "3.42 h"],
    [200_000, "2.31 days"],
  ])("say %d s as %s", (duration_s, said) => {
    expect(words("us").duration(duration_s)).toBe(said);
  });

  it("have no minus before a nought", () => {
    expect(figures(-0)).toBe("0");
  });
});

import { describe, expect, it } from "vitest";
import { sizeUp } from "../../../analysis/sizing/size.ts";
import { exampleHouse } from "../example-house.ts";

const site = exampleHouse;
const lpm = 1 / 60_000;
const seen = { site, peak600_m3s: 31 * lpm, uPeak600_m3s: 0.3 * lpm, measuredPumpRate_m3s: 128 * lpm, cycles: 143 };

describe("sizeUp", () => {
  it("asks for the peak with its allowance, and for the heads at that flow with the water at the stop level", () => {
    const sizing = sizeUp(seen);
    expect(sizing.required_lpm).toBeCloseTo(46.5, 9);
    expect(sizing.static_head_m).toBeCloseTo(3.048 - 0.1524, 12);
    // 46.5 L/min in 40.894 mm: 0.590055 m/s, velocity head 17.7515 mm; at 10 °C Re 18 472, Colebrook f 0.0264732;
    // f·L/D 4.34094, fittings 3 · 0.9 + 2.5, exit 1.
    expect(sizing.friction_head_m).toBeCloseTo((4.34094 + 6.2) * 0.0177515, 6);
    expect(sizing.total_dynamic_head_m).toBeCloseTo(2.8956 + 0.187117, 5);
    expect(sizing.margin).toBeCloseTo(128 / 31, 9);
    expect(sizing.verdict).toBe("adequate");
  });

  it("takes the duty point for what the pump moves where that was not measured", () => {
    const { duty_point, margin } = sizeUp({ ...seen, measuredPumpRate_m3s: null });
    expect(duty_point?.lpm).toBeGreaterThan(100);
    expect(duty_point?.lpm).toBeLessThan(40 * 3.785411784);
    expect(margin).toBeCloseTo((duty_point?.lpm ?? Number.NaN) / 31, 9);
  });

  it("judges by what the pump moves against the required flow", () => {
    const verdictFor = (moved: number, u = 0) =>
      sizeUp({ ...seen, measuredPumpRate_m3s: moved * lpm, uPeak600_m3s: u * lpm }).verdict;
    expect(verdictFor(46.4)).toBe("undersized");
    expect(verdictFor(46.6)).toBe("marginal");
    expect(verdictFor(51.1)).toBe("marginal"); // 1.1 · 46.5 = 51.15
    expect(verdictFor(51.2)).toBe("adequate");
    expect(verdictFor(51.2, 2)).toBe("marginal"); // (31 + 4) · 1.5 = 52.5
  });

  it("gives no verdict on a peak or a pump that is not known, in a dry spell, or before a whole cycle", () => {
    const noDischarge = { ...site, discharge: null };
    expect(sizeUp({ ...seen, peak600_m3s: null, uPeak600_m3s: null }).verdict).toBe("not-enough-data");
    expect(sizeUp({ ...seen, site: noDischarge, measuredPumpRate_m3s: null }).verdict).toBe("not-enough-data");
    expect(sizeUp({ ...seen, peak600_m3s: 0 })).toMatchObject({
      verdict: "not-enough-data",
      required_lpm: 0,
      margin: null,
    });
    expect(sizeUp({ ...seen, cycles: 0 }).verdict).toBe("not-enough-data");
  });

  it("leaves what the site does not tell as null", () => {
    const bare = { ...site, pump: null, discharge: null };
    expect(sizeUp({ ...seen, site: bare })).toEqual({
      verdict: "adequate",
      required_lpm: expect.closeTo(46.5, 9),
      static_head_m: null,
      friction_head_m: null,
      total_dynamic_head_m: null,
      duty_point: null,
      margin: expect.closeTo(128 / 31, 9),
    });
    const noPeak = sizeUp({ ...seen, peak600_m3s: null, uPeak600_m3s: null });
    expect(noPeak.static_head_m).toBeCloseTo(2.8956, 9);
    expect([noPeak.required_lpm, noPeak.friction_head_m, noPeak.total_dynamic_head_m, noPeak.margin]).toEqual([
      null,
      null,
      null,
      null,
    ]);
    const noStop = { ...site, basin: { ...site.basin, stopLevel_m: null } };
    expect(sizeUp({ ...seen, site: noStop })).toMatchObject({ static_head_m: null, duty_point: null });
  });
});

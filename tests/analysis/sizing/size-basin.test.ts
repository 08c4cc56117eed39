import { describe, expect, it } from "vitest";
import { dischargeHead } from "../../../analysis/hydraulics/discharge-head.ts";
import { dutyPoints } from "../../../analysis/hydraulics/duty-points.ts";
import type { DischargeSite, Site } from "../../../analysis/site.ts";
import { sizeBasin } from "../../../analysis/sizing/size-basin.ts";
import { toSi } from "../../../analysis/units/unit.ts";
import { foot, gpm, handTestOf, house, inch } from "./house.ts";

const byHand = (inches: number, site: Site = house) => sizeBasin({ site, logged: null, hand: handTestOf(inches) });
const inGpm = (lpm: number | undefined) => (lpm ?? Number.NaN) / 3.785411784;

describe("sizeBasin, by the rules of the trade (common practice, no source)", () => {
  // 18 in basin: about a gallon an inch; 20 in in a minute: about 20 gpm; half again for heavier storms: 30 gpm. A pump
  // 2 ft under the floor with 6 ft up to the ceiling lifts 8 ft before friction, so one rated 30 gpm at 10 ft would do.
  const tradeDischarge: DischargeSite = {
    highPoint_m: 8 * foot,
    pipe: { material: "pvc-40", nominal_m: 1.5 * inch, insideDiameter_m: null, length_m: 20 * foot },
    fittings: [
      { kind: "elbow-90", count: 2 },
      { kind: "check-valve-swing", count: 1 },
    ],
  };
  const trade: Site = {
    ...house,
    basin: { ...house.basin, stopLevel_m: 0, startLevel_m: 8 * inch },
    discharge: tradeDischarge,
  };

  it("asks for 33.05 gpm where the trade says 30: the rounded gallon alone is 9.2 % low, and the allowance carries it on", () => {
    const { required } = byHand(20, trade);
    expect(inGpm(required?.flow.lpm)).toBeCloseTo(20 * 1.1016 * 1.5, 2);
    expect(30 / inGpm(required?.flow.lpm)).toBeCloseTo(1 / 1.1016, 3);
  });

  it("finds the same lift of 8 ft, and that the 2 ft which the trade leaves for friction do in 2 in pipe, not in 1-1/2 in", () => {
    const { head } = byHand(20, trade);
    expect(head?.static_m).toBeCloseTo(8 * foot, 9);
    // 1-1/2 in, 30 gpm: 4.728 ft/s, v²/2g 0.34736 ft; f 0.021506 · 20 ft / (1.61/12) ft = 3.2059, and K 1.8 + 2.5 + 1:
    // 8.506 · 0.34736 = 2.955 ft. 2 in: 2.868 ft/s, 0.12788 ft; 0.022720 · 20 / (2.067/12) = 2.638; 7.938: 1.015 ft.
    expect(frictionAt30(1.5)).toBeCloseTo(2.955, 2);
    expect(frictionAt30(2)).toBeCloseTo(1.015, 2);
  });

  it("asks for 34 gpm at 12 ft in 1-1/2 in and at 10 ft in 2 in, where the trade asks for 30 gpm at 10 ft", () => {
    expect(byHand(20, trade).ask_for?.words).toBe("at least 34 gpm at 12 ft");
    expect(byHand(20, { ...trade, discharge: in2 }).ask_for?.words).toBe("at least 34 gpm at 10 ft");
  });

  const in2 = { ...tradeDischarge, pipe: { ...tradeDischarge.pipe, nominal_m: 2 * inch } };

  function frictionAt30(nominal: number): number {
    const pipe = { ...tradeDischarge.pipe, nominal_m: nominal * inch };
    return dischargeHead({ ...tradeDischarge, pipe }, gpm(30), 0).frictionHead_m / foot;
  }
});

describe("sizeBasin after a hand test", () => {
  it("asks for the head at the required flow, the same as the worksheet's lines come to", () => {
    const { head } = byHand(10);
    const lines = head?.lines.reduce((sum, line) => sum + line.head_m, 0);
    expect(lines).toBeCloseTo(head?.total_m ?? Number.NaN, 12);
    expect(head?.static_m).toBeCloseTo(9.5 * foot, 9);
    expect(head?.static_at_start_m).toBeCloseTo((10 - 14 / 12) * foot, 9);
  });

  it("sets the pump's duty against the required flow, and says both figures", () => {
    const { pump } = byHand(10);
    expect(pump).toMatchObject({ verdict: "adequate", moves_by: "curve" });
    expect(pump?.message).toMatch(
      /^It moves 35\.2 gpm, and 16\.5 gpm is required: enough, if the rise was watched in the wettest weather there is\.$/,
    );
    expect(pump?.over_required?.value).toBeCloseTo((pump?.margin?.value ?? 0) / 1.5, 9);
    expect(byHand(20).pump?.verdict).toBe("marginal");
    expect(byHand(25).pump?.verdict).toBe("undersized");
  });

  it("knows what the pump moves worn and through a clogged pipe as dutyPoints has it, and no energy without a record", () => {
    const { pump } = byHand(20);
    const rows = dutyPoints(house).filter(({ at }) => at === "stop");
    for (const condition of ["worn", "clogged"] as const) {
      const flow_m3s = rows.find((row) => row.condition === condition)?.flow_m3s ?? Number.NaN;
      expect(toSi(pump?.[condition]?.lpm ?? 0, "L/min")).toBeCloseTo(flow_m3s, 9);
      expect(pump?.[condition]?.enough).toBe(flow_m3s >= toSi(byHand(20).required?.flow.lpm ?? 0, "L/min"));
    }
    expect(pump).toMatchObject({ energy_wh_per_cycle: null, energy_kwh_per_year: null });
  });

  it("rounds the rating up in the site's own units, never down", () => {
    const metric = byHand(10, { ...house, displayUnits: "metric" }).ask_for;
    expect(byHand(10).ask_for?.words).toBe("at least 17 gpm at 11 ft");
    expect(metric?.words).toBe("at least 65 L/min at 3.5 m");
    expect(metric?.shut_off_above_m).toBeCloseTo(9.5 * foot, 9);
  });

  it("makes 2 in pipe of 1-1/2 in save three quarters of the friction and more: the bores' fifth power, and fittings' fourth", () => {
    const pipes = byHand(10).pipes;
    const [present, wider] = ["1-1/2 in", "2 in"].map((size) => pipes.find(({ label }) => label.startsWith(size)));
    expect(present).toMatchObject({ present: true, saves: null });
    const left = (wider?.required?.friction_m ?? 0) / (present?.required?.friction_m ?? 1);
    expect(left).toBeLessThan((1.61 / 2.067) ** 4);
    expect(left).toBeGreaterThan((1.61 / 2.067) ** 5);
    expect(wider?.saves?.more_lpm).toBeGreaterThan(0);
    expect(pipes.map(({ inside_diameter_mm }) => inside_diameter_mm)).toEqual(
      pipes.map(({ inside_diameter_mm }) => inside_diameter_mm).toSorted((a, b) => a - b),
    );
  });

  it("counts, of two pumps, on what is left when one fails, and on the levels of the one on duty", () => {
    const pump = house.pump ?? { curve: null, maxStartsPerHour: null, minRun_s: null };
    const duty = { ...pump, startLevel_m: 12 * inch };
    const two = byHand(10, { ...house, pump: duty, pumps: [duty, pump] });
    expect(two.pump?.message).toMatch(/^With one of the two failed, the other moves 35\.2 gpm/);
    expect(two.pump?.duty.at_start?.level_mm).toBeCloseTo(12 * 25.4, 9);
    expect(two.floats?.active?.l).toBeCloseTo(6 * 1.1016 * 3.785411784, 3);
  });

  it("has the greater of a hand test and a logged peak for the peak", () => {
    expect(byHand(10).measured).toMatchObject({ by: "hand", days: null });
    expect(inGpm(byHand(10).required?.allowance?.peak.lpm)).toBeCloseTo(11.016, 3);
  });
});

describe("what cannot be", () => {
  it("is a pump whose shut-off head is no more than the lift, in words that name both", () => {
    const site: Site = {
      ...house,
      pump: {
        maxStartsPerHour: 20,
        minRun_s: 8,
        curve: [
          { flow_m3s: 0, head_m: 8 * foot },
          { flow_m3s: gpm(30), head_m: 0 },
        ],
      },
    };
    const answer = byHand(10, site);
    expect(answer.impossible.join()).toContain("shut-off head, 8 ft (2.44 m), is no more than the static head, 9.5 ft");
    expect(answer.pump).toMatchObject({
      moves: null,
      verdict: "undersized",
      message: "It moves nothing, and 16.5 gpm is required: it lifts no higher than 8 ft, and the lift is 9.5 ft.",
    });
    expect(answer.ask_for?.words).toBe("at least 17 gpm at 11 ft");
  });

  it("is a start level over the inlet, but not that more comes in than the pump moves", () => {
    const low = byHand(10, { ...house, basin: { ...house.basin, inletLevel_m: 12 * inch } });
    expect(low.impossible.join()).toContain("The pump starts at 14 in, and the inlet lies at 12 in");
    expect(byHand(40).impossible).toEqual([]);
    expect(byHand(40).pump?.message).toMatch(/^It moves 35\.2 gpm, .*At the measured peak, 44\.1 gpm, the water rises/);
  });

  it("is nothing in a house that is in order", () => {
    expect(byHand(10).impossible).toEqual([]);
  });
});

describe("what is missing", () => {
  const bare: Site = {
    ...house,
    basin: {
      geometry: house.basin.geometry,
      depth_m: null,
      startLevel_m: null,
      stopLevel_m: null,
      highLevel_m: null,
      overflowLevel_m: null,
    },
    pump: null,
    discharge: null,
  };

  it("is asked for, with where to find it, and nothing is made up for it", () => {
    const answer = sizeBasin({ site: bare, logged: null, hand: null });
    expect(answer).toMatchObject({ measured: null, required: null, head: null, pump: null, ask_for: null, pipes: [] });
    expect(answer).toMatchObject({ floats: null, freeboard: null, backup: null });
    const keys = answer.missing.map(({ key }) => key);
    for (const key of ["discharge", "pump.curve", "basin.start_level", "basin.overflow_level", "design.storm"]) {
      expect(keys).toContain(key);
    }
    expect(keys[0]).toContain("--rise");
    for (const { where } of answer.missing) expect(where).not.toBe("");
  });

  it("is the required flow no longer once a rise was watched", () => {
    const answer = sizeBasin({ site: bare, logged: null, hand: handTestOf(10) });
    expect(inGpm(answer.required?.flow.lpm)).toBeCloseTo(16.524, 2);
    expect(answer.missing.map(({ key }) => key)).not.toContain("--recording, or --rise");
    expect(answer.backup?.standby?.words).toContain("at the head of its own discharge");
  });

  it("takes the lift from the basin's bottom where no stop level is given, and says so", () => {
    const answer = byHand(10, { ...house, basin: { ...house.basin, stopLevel_m: null } });
    expect(answer.head?.static_m).toBeCloseTo(10 * foot, 9);
    expect(answer.assumptions.join()).toContain("the lift is taken from the inside bottom");
  });
});

describe("cautions", () => {
  it("come with every answer, and those for the hand test and for batteries where they belong", () => {
    const cautions = sizeBasin({ site: house, logged: null, hand: null }).cautions.join(" ");
    expect(cautions).toMatch(/Dry hands/);
    expect(cautions).toMatch(/local codes and licensed practice decide/);
    expect(cautions).toMatch(/confined space/);
    expect(cautions).not.toMatch(/hydrogen/);
    expect(byHand(10).cautions.join(" ")).toMatch(/Dry hands.*Do not let it overflow/);
    const site = { ...house, backup: backupOf(12) };
    expect(byHand(10, site).cautions.join(" ")).toMatch(/hydrogen.*carbon monoxide/);
  });
});

function backupOf(hours: number): NonNullable<Site["backup"]> {
  return {
    hold_s: hours * 3600,
    capacity_ah: null,
    volts: 12,
    ratedHours: 20,
    peukertExponent: 1.2,
    depthOfDischarge: 0.5,
    inverterEfficiency: 0.85,
    inverterIdle_w: null,
    temperature_c: null,
    ageingFactor: 1.25,
    pumpPower_w: toSi(0.5, "hp"),
    pumpFlow_m3s: null,
  };
}

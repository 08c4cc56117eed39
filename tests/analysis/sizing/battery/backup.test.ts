import { describe, expect, it } from "vitest";
import type { Site } from "../../../../analysis/site.ts";
import { backupAnswer } from "../../../../analysis/sizing/battery/backup.ts";
import type { BackupSite } from "../../../../analysis/sizing/battery/backup-site.ts";
import { demandOf } from "../../../../analysis/sizing/demand.ts";
import { presentPump } from "../../../../analysis/sizing/present-pump.ts";
import { sizeBasin } from "../../../../analysis/sizing/size-basin.ts";
import { gpm, handTestOf, house } from "../house.ts";

/** 500 W through an inverter of 85 % from 12 V: 49.0196 A; a pump of 44.064 gpm, 4 in a minute (4.4064 gpm): a tenth of the time. */
const stated: BackupSite = {
  hold_s: 24 * 3600,
  capacity_ah: null,
  volts: 12,
  ratedHours: 20,
  peukertExponent: 1.2,
  depthOfDischarge: 0.5,
  inverterEfficiency: 0.85,
  inverterIdle_w: null,
  temperature_c: null,
  ageingFactor: 1.25,
  pumpPower_w: 500,
  pumpFlow_m3s: gpm(44.064),
};

describe("a battery for so many hours", () => {
  it("is worked out by hand: current while it runs, Peukert, depth of discharge, age", () => {
    // 24 h · 0.1 = 2.4 h of running; to half: the pace of 4.8 h to empty. 49.0196 · 20 · (4.8 / 20)^(1/1.2) = 298.45 Ah;
    // times 1.25, 373.1, rounded up to fives.
    const battery = answer(stated)?.battery;
    expect(battery?.current_a).toBeCloseTo(49.0196, 3);
    expect(battery?.duty).toBeCloseTo(0.1, 6);
    expect(battery?.needed_ah).toBeCloseTo(49.0196 * 20 * 0.24 ** (1 / 1.2), 2);
    expect(battery?.ask_for_ah).toBe(375);
  });

  it("grows by what the inverter draws at rest and by the cold", () => {
    // 12 W at 12 V: 1 A over 21.6 h, to half: 43.2 Ah. At 10 °C 1.19 times as much (IEEE Std 485, from memory).
    const plain = answer(stated)?.battery?.needed_ah ?? 0;
    expect(answer({ ...stated, inverterIdle_w: 12 })?.battery?.needed_ah).toBeCloseTo(plain + 43.2, 3);
    expect(answer({ ...stated, temperature_c: 10 })?.battery?.needed_ah).toBeCloseTo(1.19 * plain, 6);
  });

  it("lasts as long as it was made for: runtime and size are one sum", () => {
    for (const idle_w of [null, 10]) {
      const needed = { ...stated, inverterIdle_w: idle_w, temperature_c: 5, ageingFactor: 1 };
      const capacity_ah = answer(needed)?.battery?.needed_ah ?? 0;
      const lasts_s = answer({ ...needed, capacity_ah })?.runtime?.at_peak_s ?? 0;
      // The rest's draw and the run's share the charge, which Peukert's law is not straight in: within a tenth.
      expect(lasts_s / 3600 / 24).toBeGreaterThan(0.9);
      expect(lasts_s / 3600 / 24).toBeLessThan(1.1);
    }
    const alone = { ...stated, ageingFactor: 1 };
    const capacity_ah = answer(alone)?.battery?.needed_ah ?? 0;
    expect((answer({ ...alone, capacity_ah })?.runtime?.at_peak_s ?? 0) / 3600).toBeCloseTo(24, 6);
  });

  it("says that 12 V, 100 Ah, half of it through 85 % are 510 Wh, at a current as slow as its rating's", () => {
    // 51 W over 0.85 from 12 V is 5 A, the rating's own current: half of 20 h, 10 h of 51 W.
    const slow = { ...stated, pumpPower_w: 51, capacity_ah: 100, pumpFlow_m3s: gpm(4.4064), ageingFactor: 1 };
    expect((answer(slow)?.runtime?.at_peak_s ?? 0) / 3600).toBeCloseTo(10, 3);
  });

  it("does not hide that the pump runs all the time when more comes in than it moves", () => {
    const weak = { ...stated, pumpFlow_m3s: gpm(3) };
    expect(answer(weak)?.battery?.duty).toBe(1);
    expect(answer(weak)?.message).toContain("the water rises all the same");
  });

  it("is asked of nobody where power or hours are not known", () => {
    expect(answer({ ...stated, pumpPower_w: null })).toMatchObject({ battery: null, runtime: null });
    expect(answer({ ...stated, pumpPower_w: null })?.message).toContain("is not known");
    expect(answer({ ...stated, hold_s: null })?.message).toContain("backup.hold");
  });
});

describe("a standby pump", () => {
  it("moves what is required, for the mains fail in storms, against the same discharge; the peak stands beside it", () => {
    // 4.4064 gpm measured, half again 6.61 gpm.
    expect(answer(stated)?.standby?.words).toBe(
      "at least 7 gpm at 10 ft (at least 5 gpm at 10 ft for the measured peak alone)",
    );
  });
});

describe("what is taken for granted of a battery", () => {
  const said = (backup: BackupSite) => {
    const { assumptions, missing } = sizeBasin({ site: { ...house, backup }, logged: null, hand: handTestOf(4) });
    return { assumptions: assumptions.join(" "), keys: missing.map(({ key }) => key) };
  };

  it("is said, and what would mend it is asked for", () => {
    const { assumptions, keys } = said(stated);
    expect(assumptions).toContain("50 % of its charge drawn, rated over 20 h, Peukert's exponent 1.2");
    expect(assumptions).toMatch(/inverter draws while the pump rests is not given.*temperature in winter is not given/);
    expect(assumptions).toContain("not for a worse storm");
    expect(keys).toEqual(expect.arrayContaining(["backup.inverter_idle", "backup.temperature"]));
  });

  it("is no inverter where the pump runs on the battery itself, nor what is given", () => {
    const { assumptions, keys } = said({ ...stated, inverterEfficiency: 1, temperature_c: 5 });
    expect(assumptions).not.toMatch(/inverter|not counted|winter/);
    expect(keys).not.toEqual(expect.arrayContaining(["backup.inverter_idle"]));
  });
});

function answer(backup: BackupSite) {
  const site: Site = { ...house, backup };
  const demand = demandOf({ site, logged: null, hand: handTestOf(4) }, null);
  return backupAnswer(site, demand, presentPump(site, demand, null), null);
}

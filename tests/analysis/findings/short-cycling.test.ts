import { describe, expect, it } from "vitest";
import type { View } from "../../../analysis/findings/rule.ts";
import { shortCycling } from "../../../analysis/findings/short-cycling.ts";
import { newTripLevels } from "../../../analysis/readings/trip-levels.ts";
import { area_m2, smallSite, startTime_s } from "../small-basin.ts";
import { cyclesLike, flow, openSince, viewOf } from "./view.ts";

const cause = (change: Parameters<typeof viewOf>[0]) => shortCycling.evidence(viewOf(change)).cause;

describe("short-cycling", () => {
  it("is true with more starts in an hour than the pump may make: 21 of 20", () => {
    expect(shortCycling.holds(viewOf({ startsInLastHour: 20 }), null)).toBe(false);
    expect(shortCycling.holds(viewOf({ startsInLastHour: 21 }), null)).toBe(true);
  });

  it("is true when five runs in a row are shorter than the shortest allowed, 8 s", () => {
    const short = cyclesLike({ run_s: 7.9 }, 5);
    expect(shortCycling.holds(viewOf({ recentCycles: short }), null)).toBe(true);
    expect(shortCycling.holds(viewOf({ recentCycles: short.slice(1) }), null)).toBe(false);
    expect(shortCycling.holds(viewOf({ recentCycles: cyclesLike({ run_s: 8 }) }), null)).toBe(false);
    expect(shortCycling.holds(viewOf({ recentCycles: [...cyclesLike({}, 1), ...short] }), null)).toBe(false);
  });

  it("takes no run for a part of one because a sensor that hangs in the air shows no way", () => {
    const holds = (startLevel_m: number) => {
      const stands = cyclesLike({ run_s: 19, startLevel_m, stopLevel_m: startLevel_m });
      return shortCycling.holds(viewOf({ recentCycles: stands }), null);
    };
    expect(holds(0.28)).toBe(true);
    expect(holds(0.002)).toBe(false);
  });

  it("takes no cycles for a float that chatters, by the contact alone, while each is as long as the others", () => {
    const site = { ...smallSite, pump: { curve: null, maxStartsPerHour: 200, minRun_s: 5 } };
    const holds = (runs_s: readonly number[]) => {
      const unknown = { startLevel_m: null, stopLevel_m: null, inflow: null, pumpRate: null, rest_s: 12 };
      const recentCycles = runs_s.flatMap((run_s) => cyclesLike({ ...unknown, run_s }, 1));
      return shortCycling.holds(viewOf({ site, recentCycles }), null);
    };
    expect(holds([15, 14, 15, 15, 16, 15])).toBe(false);
    expect(holds([15, 7, 12, 19, 8, 14])).toBe(true);
  });

  it("is true when the contact flickers again and again, too short for a run", () => {
    expect(shortCycling.holds(viewOf({ flickers: 31 }), null)).toBe(true);
    expect(cause({ flickers: 31 })).toBe("float-chatter");
  });

  it("knows no limit where the site gives none", () => {
    const view = viewOf({
      site: { ...smallSite, pump: null },
      startsInLastHour: 90,
      recentCycles: cyclesLike({ run_s: 3 }),
    });
    expect(shortCycling.holds(view, null)).toBe(false);
  });

  it("finds the cause: little volume between the floats", () => {
    expect(cause({ recentCycles: cyclesLike({ run_s: 5, rest_s: 60 }) })).toBe("small-active-volume");
  });

  it("finds the cause: much inflow, where the pump by itself would take longer than the shortest run allowed", () => {
    expect(cause({ recentCycles: cyclesLike({ run_s: 40, rest_s: 100 }) })).toBe("high-inflow");
    // 9 s of run and 81 s of rest: a tenth of the flow comes in, and without it the run would take 8.1 s.
    expect(cause({ recentCycles: cyclesLike({ run_s: 9, rest_s: 81, drainBack_m3: 0 }) })).toBe("high-inflow");
    expect(cause({ recentCycles: cyclesLike({ run_s: 8.8, rest_s: 79.2, drainBack_m3: 0 }) })).toBe(
      "small-active-volume",
    );
  });

  it("finds the cause: a float that travels less than 60 mm, however wide the basin and slow the pump", () => {
    const slow = cyclesLike({ run_s: 40, rest_s: 100 });
    const learned = (stop_m: number) => ({ recentCycles: slow, trips: { ...newTripLevels(), start_m: 0.3, stop_m } });
    expect(cause(learned(0.27))).toBe("small-active-volume");
    expect(cause(learned(0.23))).toBe("high-inflow");
    const stated = (startLevel_m: number) => ({ ...smallSite, basin: { ...smallSite.basin, startLevel_m } });
    expect(cause({ recentCycles: slow, site: stated((smallSite.basin.stopLevel_m ?? 0) + 0.05) })).toBe(
      "small-active-volume",
    );
  });

  it("finds the cause: more than a quarter of what is pumped runs back", () => {
    // 20 s at 66 L/min are 22 L.
    expect(cause({ recentCycles: cyclesLike({ drainBack_m3: 0.0056 }) })).toBe("drain-back");
    expect(cause({ recentCycles: cyclesLike({ drainBack_m3: 0.0054 }) })).toBe("high-inflow");
  });

  it("finds so much running back also where readings are too far apart to show how fast a run lowers the water", () => {
    const lowered_m3 = 0.2 * area_m2;
    const ofUnknownRate = (share: number) => cyclesLike({ pumpRate: null, drainBack_m3: share * lowered_m3 });
    expect(cause({ recentCycles: ofUnknownRate(0.3) })).toBe("drain-back");
    expect(cause({ recentCycles: ofUnknownRate(0.2) })).not.toBe("drain-back");
  });

  it("finds the cause: a float that flickers at its trip point", () => {
    const flickers = cyclesLike({ run_s: 3, rest_s: 5 }, 5);
    expect(cause({ recentCycles: [...flickers, ...cyclesLike({}, 3)] })).toBe("float-chatter");
    expect(cause({ recentCycles: [...flickers.slice(1), ...cyclesLike({}, 4)] })).not.toBe("float-chatter");
  });

  it("stays open while there are more than 17 starts in an hour, or three of five runs are too short", () => {
    const open = openSince();
    expect(shortCycling.holds(viewOf({ startsInLastHour: 18 }), open)).toBe(true);
    expect(shortCycling.holds(viewOf({ startsInLastHour: 17 }), open)).toBe(false);
    const short = (count: number) => [...cyclesLike({ run_s: 7 }, count), ...cyclesLike({}, 8 - count)];
    expect(shortCycling.holds(viewOf({ recentCycles: short(3) }), open)).toBe(true);
    expect(shortCycling.holds(viewOf({ recentCycles: short(2) }), open)).toBe(false);
    expect(shortCycling.holds(viewOf({ flickers: 11 }), open)).toBe(true);
    expect(shortCycling.holds(viewOf({ flickers: 9 }), open)).toBe(false);
  });

  it("is true when five of the last cycles switch off and on within seconds, or three do and the contact flickers", () => {
    const site = { ...smallSite, pump: { curve: null, maxStartsPerHour: 20, minRun_s: null } };
    const switching = (count: number) => ({
      site,
      recentCycles: [...cyclesLike({ run_s: 4, rest_s: 6 }, count), ...cyclesLike({}, 8 - count)],
    });
    const holds = (change: Partial<View>) => shortCycling.holds(viewOf(change), null);
    expect(holds(switching(5))).toBe(true);
    expect(holds({ ...switching(5), time_s: startTime_s + 3700 })).toBe(false);
    expect(holds(switching(4))).toBe(false);
    expect(holds({ ...switching(3), flickers: 5 })).toBe(true);
    expect(holds({ ...switching(3), flickers: 4 })).toBe(false);
    expect(holds({ ...switching(5), site: { ...smallSite, pump: null } })).toBe(false);
    expect(cause(switching(5))).toBe("float-chatter");
  });

  it("takes back a cause for another only when the figures are clear of the limit", () => {
    const told = (change: Partial<View>, known: string) =>
      shortCycling.worsen?.({ cause: known, starts_in_an_hour: 16 }, viewOf(change))?.cause ?? known;
    // Emptied in 8 s is the limit; 10 s are clear of it, and 6.4 s is where it is let go. A half comes in meanwhile.
    const emptied = (time_s: number) => ({
      recentCycles: cyclesLike({ run_s: 2 * time_s, rest_s: 2 * time_s, drainBack_m3: 0 }),
    });
    expect(told(emptied(9.9), "small-active-volume")).toBe("small-active-volume");
    expect(told(emptied(10.1), "small-active-volume")).toBe("high-inflow");
    expect(told(emptied(6.5), "high-inflow")).toBe("high-inflow");
    expect(told(emptied(6.3), "high-inflow")).toBe("small-active-volume");
    // A travel of 60 mm is the limit; one of 48 mm is clear of it, and at 75 mm it is let go.
    const travels = (travel_m: number) => ({
      ...emptied(30),
      trips: { ...newTripLevels(), start_m: 0.3, stop_m: 0.3 - travel_m },
    });
    expect(told(travels(0.049), "high-inflow")).toBe("high-inflow");
    expect(told(travels(0.047), "high-inflow")).toBe("small-active-volume");
    expect(told(travels(0.074), "small-active-volume")).toBe("small-active-volume");
    expect(told(travels(0.076), "small-active-volume")).toBe("high-inflow");
  });

  it("keeps to the water that runs back while rests do not show how much does", () => {
    const told = (drainBack_m3: number | null) =>
      shortCycling.worsen?.(
        { cause: "drain-back", starts_in_an_hour: 16 },
        viewOf({ recentCycles: cyclesLike({ run_s: 40, rest_s: 100, drainBack_m3 }) }),
      )?.cause ?? "drain-back";
    expect(told(null)).toBe("drain-back");
    expect(told(0)).toBe("high-inflow");
  });

  it("lays nothing to the inflow while a float goes on chattering, though less than at first", () => {
    const few = [...cyclesLike({ run_s: 4, rest_s: 6 }, 3), ...cyclesLike({ run_s: 40, rest_s: 100 }, 5)];
    const told = (known: string, recentCycles: typeof few) =>
      shortCycling.worsen?.({ cause: known, starts_in_an_hour: 16 }, viewOf({ recentCycles }))?.cause ?? known;
    expect(told("float-chatter", few)).toBe("float-chatter");
    expect(told("float-chatter", few.slice(1))).toBe("high-inflow");
  });

  it("advises by the cause that was told", () => {
    expect(shortCycling.message(viewOf(), { cause: "drain-back" })).toContain("check valve");
    expect(shortCycling.message(viewOf(), { cause: "high-inflow" })).toContain("much water comes in");
  });

  it("remembers the most starts", () => {
    const evidence = shortCycling.evidence(viewOf({ startsInLastHour: 25, inflow: flow(5e-4) }));
    expect(evidence).toMatchObject({ starts_in_an_hour: 25, max_starts_per_hour: 20, min_run_s: 8, inflow_m3s: 5e-4 });
    expect(shortCycling.worsen?.(evidence, viewOf({ startsInLastHour: 26 }))).toMatchObject({ starts_in_an_hour: 26 });
    expect(shortCycling.worsen?.(evidence, viewOf({ startsInLastHour: 24, inflow: flow(5e-4) }))).toBeNull();
  });

  describe("where whole runs fall between readings", () => {
    const byInflow = (atLeast: number) => ({
      startsInLastHour: 12,
      startsByInflow: { starts: atLeast + 3.4, atLeast, emptiesIn_s: 15 },
    });

    it("goes by the starts that the inflow makes, as far as they are sure", () => {
      expect(shortCycling.holds(viewOf(byInflow(20.5)), null)).toBe(true);
      expect(shortCycling.holds(viewOf(byInflow(19.5)), null)).toBe(false);
      expect(shortCycling.holds(viewOf(byInflow(17.5)), openSince())).toBe(true);
      expect(shortCycling.holds(viewOf(byInflow(16.5)), openSince())).toBe(false);
    });

    it("says that they were told by the inflow", () => {
      const told = {
        starts_in_an_hour: 24,
        starts_at_least: 20,
        starts_told_by: "what-comes-in",
        cause: "high-inflow",
      };
      expect(shortCycling.evidence(viewOf(byInflow(20.5)))).toMatchObject(told);
      expect(shortCycling.evidence(viewOf())).not.toHaveProperty("starts_told_by");
    });

    it("remembers the most of them, too", () => {
      const evidence = shortCycling.evidence(viewOf(byInflow(20.5)));
      expect(shortCycling.worsen?.(evidence, viewOf(byInflow(22.5)))).toMatchObject({ starts_in_an_hour: 26 });
      expect(shortCycling.worsen?.(evidence, viewOf(byInflow(19.5)))).toBeNull();
    });

    it("goes by the count where that is more", () => {
      const view = viewOf({ ...byInflow(20.5), startsInLastHour: 23 });
      expect(shortCycling.evidence(view)).toMatchObject({ starts_in_an_hour: 23 });
      expect(shortCycling.evidence(view)).not.toHaveProperty("starts_told_by");
    });

    it("takes little volume for the cause where the pump by itself empties it too soon", () => {
      const change = { ...byInflow(20.5), startsByInflow: { starts: 24, atLeast: 20.5, emptiesIn_s: 5 } };
      expect(cause(change)).toBe("small-active-volume");
    });
  });
});

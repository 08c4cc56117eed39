// The simulator itself: no drop is lost or made, and its truth is what a hand calculation says of simple cases.

import { describe, expect, it } from "vitest";
import { drawnBasin, drawnPair } from "./drawn-basin.ts";
import { drawHouse, type Plan, steadyWeather } from "./plan.ts";
import { epoch_s, play } from "./play.ts";
import { pumpFlow_m3s, togetherFlow_m3s } from "./pump-law.ts";
import { randomOf } from "./random.ts";
import { scenarios } from "./scenarios/index.ts";
import { vesselOf } from "./vessel.ts";
import { inflowOf, lpm } from "./weather.ts";

function truthOf(plan: Plan) {
  const played = play(plan, "test");
  let rows = 0;
  for (const _ of played.readings) rows += 1;
  return { rows, ...played.truth() };
}

/** 0.1 m² free, floats at 0.2 and 0.4 m that always turn there, 6 L/min, a tight valve, and half a day of it. */
function simpleHouse(): Plan {
  const house = drawHouse(randomOf("simple"));
  const geometry = { shape: "rectangular", width_m: 0.4, length_m: 0.3, occupiedArea_m2: 0.02 } as const;
  const valve = { closing_m3: 0, closing_s: 1, leak: { law: "tight" } } as const;
  return {
    ...house,
    days: 0.5,
    site: {
      ...house.site,
      basin: {
        ...house.site.basin,
        geometry,
        startLevel_m: 0.4,
        stopLevel_m: 0.2,
        highLevel_m: 0.5,
        overflowLevel_m: 0.6,
      },
    },
    trips: { start_m: 0.4, stop_m: 0.2, scatter_m: 0 },
    weather: steadyWeather(6),
    condition: { ...house.condition, valve },
  };
}

describe("the plant", () => {
  it.each([
    "an ordinary house",
    "slows as the water rises",
    "storm over the rim",
    "no check valve at all",
    "valve leaks, fading, in a minute or three",
    "float stuck up",
    "float chatters in waves",
    "storm over one of two pumps, every 5 s, the second stops early",
    "one of two pumps that take turns is dead",
  ])("loses no water and makes none: %s", (name) => {
    const scenario = scenarios.find((one) => one.name === name);
    if (scenario === undefined) throw new Error(`no scenario is called ${name}`);
    const { totals, stored_m3 } = truthOf({ ...scenario.draw(randomOf(name, 1)), sample_s: 10 });
    expect(totals.pumped_m3).toBeGreaterThan(0);
    expect(totals.inflow_m3 - totals.discharged_m3 - totals.spilled_m3 - stored_m3).toBeCloseTo(0, 9);
  });

  it.each([1, 2, 3, 4, 5, 6])("loses none and makes none in basins that are drawn whole: %i", (seed) => {
    for (const { plan } of [drawnBasin(seed), drawnPair(seed)]) {
      const { totals, stored_m3 } = truthOf({ ...plan, days: 1.5, sample_s: 30 });
      expect(totals.inflow_m3 - totals.discharged_m3 - totals.spilled_m3 - stored_m3).toBeCloseTo(0, 9);
    }
  });

  it("fills 20 L at 6 L/min in 200 s, less what ran in while the pump coasted to a stop", () => {
    const { cycles } = truthOf(simpleHouse());
    const [, second] = cycles;
    // the wheel still turns for a fraction of a second after the stop: up to a litre goes, 10 s of inflow
    expect(second?.rest_s).toBeGreaterThan(200);
    expect(second?.rest_s).toBeLessThan(210);
    expect(second?.restInflow_m3s).toBeCloseTo(6 * lpm, 9);
    expect(second?.returned_m3).toBe(0);
  });

  it("returns what the flap lets through, and with no flap all that stands over the water", () => {
    const plan = simpleHouse();
    const closing = { closing_m3: 0.0004, closing_s: 1, leak: { law: "tight" } } as const;
    const flap = truthOf({ ...plan, condition: { ...plan.condition, valve: closing } });
    expect(flap.cycles[1]?.returned_m3).toBeCloseTo(0.0004, 6);
    const none = { closing_m3: 0, closing_s: 1, leak: { law: "orifice", area_m2: 2e-4 } } as const;
    const open = truthOf({ ...plan, condition: { ...plan.condition, valve: none } });
    // the column sinks until it stands as high as the water; a coasting wheel still lifts some tenth of a litre into it
    const { bore_m2, highPoint_m } = plan.pipe;
    expect(open.cycles[1]?.returned_m3).toBeGreaterThan(bore_m2 * (highPoint_m - 0.4));
    expect(open.cycles[1]?.returned_m3).toBeLessThan(bore_m2 * (highPoint_m - 0.2) + 1e-4);
  });

  it("moves what head and friction leave, midway between the floats", () => {
    const plan = simpleHouse();
    const { cycles } = truthOf(plan);
    const midway_m3s = pumpFlow_m3s(plan.pump, plan.pipe, plan.pipe.highPoint_m - 0.3);
    expect((cycles[1]?.parts[0]?.rate_m3s ?? 0) / midway_m3s).toBeCloseTo(1, 2);
  });

  it("has a contact that bounces say either for so long after a switch, and what is so from then on", () => {
    const plan = simpleHouse();
    const bounce_s = 2;
    const senses = { ...plan.senses, channels: ["pumpOn"], bounce_s } as const;
    const played = play({ ...plan, sample_s: 5, senses }, "test");
    const said = Array.from(played.readings, ({ time_s, pumpOn }) => ({ time_s: time_s - epoch_s, pumpOn }));
    const { cycles } = played.truth();
    const runsAt = (time_s: number) => cycles.some((one) => one.startedAt_s <= time_s && time_s < one.stoppedAt_s);
    const until_s = cycles.at(-1)?.stoppedAt_s ?? 0;
    const wrong = said.filter(({ time_s, pumpOn }) => time_s < until_s && pumpOn !== runsAt(time_s));
    const since_s = wrong.map(({ time_s }) =>
      Math.min(
        ...cycles
          .flatMap(({ startedAt_s, stoppedAt_s }) => [time_s - startedAt_s, time_s - stoppedAt_s])
          .filter((s) => s >= 0),
      ),
    );
    expect(Math.max(...since_s)).toBeLessThan(bounce_s);
    // two in five switches are read meanwhile, and half of those wrong; 3 standard deviations either way
    const expected = (2 * cycles.length * 0.5 * bounce_s) / 5;
    expect(Math.abs(wrong.length - expected)).toBeLessThan(3 * Math.sqrt(expected));
  });

  it("writes down what has changed alone, and everything as often as a heartbeat comes", () => {
    const plan = simpleHouse();
    const { rows } = truthOf(plan);
    const of = (heartbeat_s: number) => {
      const senses = { ...plan.senses, step_m: 0.005, white_m: 0, ripple_m: 0 };
      return Array.from(
        play({ ...plan, senses, rows: { ...plan.rows, changesOnly: { heartbeat_s } } }, "test").readings,
      );
    };
    const changes = of(Number.POSITIVE_INFINITY);
    // 40 steps of 5 mm up and 40 down in some 200 s: a row each 4 to 5 s of a rest
    expect(changes.length).toBeLessThan(rows / 2);
    const levels = changes.flatMap(({ level_m }) => (level_m === null ? [] : [level_m]));
    for (const [i, level_m] of levels.entries()) expect(level_m).not.toBe(levels[i - 1]);
    const beats = of(600).length - changes.length;
    // one in five or so comes with a change
    expect(beats).toBeLessThanOrEqual((0.5 * 86_400) / 600);
    expect(beats).toBeGreaterThan((0.3 * 86_400) / 600);
  });

  it("reads the contact so long after the level, as it is by then", () => {
    const plan = { ...simpleHouse(), sample_s: 5 };
    const played = play({ ...plan, rows: { ...plan.rows, apart_s: 0.7 } }, "test");
    const said = Array.from(played.readings);
    const contacts = said.filter(({ pumpOn }) => pumpOn !== null);
    expect(said.filter(({ level_m }) => level_m !== null)).toHaveLength(contacts.length);
    const { cycles } = played.truth();
    for (const { time_s, level_m, pumpOn } of contacts) {
      const at_s = time_s - epoch_s;
      expect(level_m).toBeNull();
      expect(((at_s % 5) - 0.7).toFixed(3)).toBe("0.000");
      if (at_s < (cycles.at(-1)?.stoppedAt_s ?? 0))
        expect(pumpOn).toBe(cycles.some((one) => one.startedAt_s <= at_s && at_s < one.stoppedAt_s));
    }
  });

  it("calls a motor that trips in a wet night high water and a pump that does not start", () => {
    const plan = simpleHouse();
    const { states } = truthOf({ ...plan, changes: [{ at_s: 20_000, set: { tripped: true } }] });
    const clear = states.filter(({ certainty }) => certainty === "clear");
    expect(clear.map(({ kind }) => kind).sort()).toEqual(["float-stuck-off", "high-water"]);
    // from wherever the fill stood, 0.6 m are reached within 6 min and stay
    for (const { from_s } of clear) expect(from_s).toBeGreaterThan(20_000);
    for (const { from_s } of clear) expect(from_s).toBeLessThan(20_400);
  });
});

describe("the pump's law", () => {
  it("has the root of 10 − 1e3·Q − 1e6·Q² = 6 + 1e6·Q²: 1.1861 L/s", () => {
    const pump = { shutOff_m: 10, linear_sm2: 1e3, quadratic_s2m5: 1e6 };
    const pipe = { highPoint_m: 6, friction_s2m5: 1e6, bore_m2: 1e-3 };
    // (−1000 + √(1000² + 4 · 2e6 · 4)) / (2 · 2e6)
    expect(pumpFlow_m3s(pump, pipe, 6)).toBeCloseTo(0.00118614, 8);
  });

  it("has two pumps stand against what both make in the pipe: 10 − 1e6·q² = 6 + 1e6·(2q)²: 1.7889 L/s", () => {
    const pump = { shutOff_m: 10, linear_sm2: 0, quadratic_s2m5: 1e6 };
    const pipe = { highPoint_m: 6, friction_s2m5: 1e6, bore_m2: 1e-3 };
    expect(togetherFlow_m3s(pump, pipe, 6, [1, 1], [1, 1])).toBeCloseTo(2 * Math.sqrt(0.8e-6), 9);
    expect(togetherFlow_m3s(pump, pipe, 6, [1, 0], [1, 1])).toBeCloseTo(pumpFlow_m3s(pump, pipe, 6), 9);
  });
});

describe("the weather", () => {
  it("brings a storm to the flow that was asked for, and a pulse when it was", () => {
    const storm = { from_s: 3600, peak_lpm: 60, rain_s: 7200, store_s: 900, reservoirs: 2 };
    const pulse = { from_s: 100, to_s: 160, flow_lpm: 12 };
    const inflow = inflowOf({ ...steadyWeather(3), storms: [storm], pulses: [pulse] }, 86_400, randomOf("rain"));
    const at = (time_s: number) => {
      inflow.nextEdge_s(time_s);
      return inflow.flow_m3s(time_s, 0.2) / lpm;
    };
    expect(at(50)).toBeCloseTo(3, 9);
    expect(at(100)).toBeCloseTo(15, 9);
    expect(at(160)).toBeCloseTo(3, 9);
    const highest = Math.max(...Array.from({ length: 2000 }, (_, i) => at(3600 + 20 * i)));
    expect(highest).toBeCloseTo(63, 6);
  });
});

describe("the vessel", () => {
  it("holds by a table what lies between its rows, and back", () => {
    const vessel = vesselOf({
      shape: "table",
      rows: [
        { level_m: 0, volume_m3: 0 },
        { level_m: 0.2, volume_m3: 0.02 },
        { level_m: 0.4, volume_m3: 0.06 },
      ],
    });
    expect(vessel.volume_m3(0.3)).toBeCloseTo(0.04, 12);
    expect(vessel.level_m(0.04)).toBeCloseTo(0.3, 12);
    expect(vessel.area_m2(0.5)).toBeCloseTo(0.2, 12);
  });
});

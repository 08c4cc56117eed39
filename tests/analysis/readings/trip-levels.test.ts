import { describe, expect, it } from "vitest";
import {
  middleTrips,
  newTripLevels,
  noteTrips,
  seenTrips,
  spanOff,
  type Trips,
  usualTrips,
} from "../../../analysis/readings/trip-levels.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";

const every_s = 600;

/** Cycles ten minutes apart, whose trips scatter by 2 mm; `change` says what becomes of the n-th. */
function feed(cycles: number, change: (n: number) => Partial<Trips> = () => ({}), sd_m = 0.002) {
  const random = seededRandom(4);
  const state = newTripLevels();
  for (let n = 0; n < cycles; n++) {
    const usual = { start_m: 0.35, stop_m: 0.15, pumpRate_m3s: 0.002, ...change(n) };
    noteTrips(state, {
      time_s: n * every_s,
      uSampling_m: 0,
      ...usual,
      start_m: usual.start_m + random.normal(sd_m),
      stop_m: usual.stop_m + random.normal(sd_m),
    });
  }
  return state;
}

describe("the usual trips", () => {
  it("are not known before twelve cycles, and then with their scatter", () => {
    expect(usualTrips(feed(11))).toBeNull();
    const usual = usualTrips(feed(300));
    expect(usual?.start_m).toBeCloseTo(0.35, 2);
    expect(usual?.stop_m).toBeCloseTo(0.15, 2);
    expect(Math.abs((usual?.scatterStart_m ?? 0) - 0.002)).toBeLessThan(0.0007);
    expect(Math.abs((usual?.scatterStop_m ?? 0) - 0.002)).toBeLessThan(0.0007);
  });

  it("are not moved by runs begun by hand, nor by trips in the wrong order or without a figure", () => {
    const state = feed(60, (n) => (n % 7 === 3 ? { start_m: 0.2 } : n % 7 === 5 ? { start_m: 0.1 } : {}));
    expect(usualTrips(state)?.start_m).toBeCloseTo(0.35, 2);
    expect(state.drift).toBeNull();
    noteTrips(state, { time_s: 1e6, start_m: Number.NaN, stop_m: 0.1, uSampling_m: 0, pumpRate_m3s: null });
    expect(state.recent.at(-1)?.time_s).toBeLessThan(1e6);
  });
});

describe("the middle of the trips", () => {
  it("scatters as most of them do, though each third is far off, and is known after four cycles", () => {
    expect(middleTrips(feed(3))).toBeNull();
    expect(middleTrips(feed(4))?.start.middle_m).toBeCloseTo(0.35, 2);
    const { start, stop } = middleTrips(feed(40, (n) => (n % 3 === 0 ? { start_m: 0.28, stop_m: 0.2 } : {}))) ?? {};
    expect(start?.middle_m).toBeCloseTo(0.35, 2);
    expect(stop?.middle_m).toBeCloseTo(0.15, 2);
    expect(start?.scatter_m).toBeLessThan(0.006);
    expect(stop?.scatter_m).toBeLessThan(0.006);
  });
});

describe("the trips seen lately", () => {
  it("are those since the sensor was set anew, or a drift of it is over, and none from before", () => {
    const setAnew = (n: number) => (n >= 40 ? { start_m: 0.4, stop_m: 0.2 } : {});
    for (const since of [12, 16, 20, 24])
      expect(Math.abs((seenTrips(feed(40 + since, setAnew))?.start_m ?? 0) - 0.4)).toBeLessThan(0.005);
    const away_m = (n: number) => 0.0005 * Math.max(0, 60 - Math.abs(n - 100));
    const drifts = feed(176, (n) => ({ start_m: 0.35 + away_m(n), stop_m: 0.15 + away_m(n) }));
    expect(drifts.drift).toBeNull();
    expect(Math.abs((seenTrips(drifts)?.start_m ?? 0) - 0.35)).toBeLessThan(0.005);
  });
});

describe("a shift of both trips", () => {
  it("is not told of trips that a storm moves, by no more than the water rises between two readings", () => {
    // 15 mm, where it rises by 18 mm from one reading to the next: 18 mm / √12.
    const inStorm = (n: number) =>
      n >= 40 ? { start_m: 0.365, stop_m: 0.165, uSampling_m: 0.018 / Math.sqrt(12) } : {};
    expect(feed(56, inStorm).drift).toBeNull();
    expect(feed(56, (n) => ({ ...inStorm(n), uSampling_m: 0.0005 })).drift).not.toBeNull();
  });

  it("is not told either once a storm is over in which they were learned", () => {
    const inStorm = (n: number, uSampling_m: number) =>
      n < 40 ? { start_m: 0.365, stop_m: 0.165, uSampling_m } : { uSampling_m: 0.0005 };
    expect(feed(56, (n) => inStorm(n, 0.018 / Math.sqrt(12))).drift).toBeNull();
    expect(feed(56, (n) => inStorm(n, 0.0005)).drift).not.toBeNull();
  });

  it("that comes at once is a sensor set anew, until twelve more cycles have shown the new trips", () => {
    const shifted = (n: number) => (n >= 40 ? { start_m: 0.37, stop_m: 0.17 } : {});
    const told = feed(50, shifted);
    expect(told.drift?.problem).toBe("re-zeroed");
    expect(told.drift?.shift_m).toBeCloseTo(0.02, 2);
    expect(Math.abs((told.drift?.since_s ?? 0) - 40 * every_s)).toBeLessThanOrEqual(2 * every_s);
    const later = feed(70, shifted);
    expect(later.drift).toBeNull();
    expect(usualTrips(later)?.start_m).toBeCloseTo(0.37, 2);
  });

  it("that comes by half a millimetre a cycle is a drift, and is over when it is back", () => {
    const off_m = (n: number) => Math.max(0, Math.min(n - 40, 60)) * 0.0005;
    const drifting = (n: number) => ({ start_m: 0.35 + off_m(n), stop_m: 0.15 + off_m(n) });
    expect(feed(100, drifting).drift?.problem).toBe("zero-drift");
    expect(feed(130, (n) => (n > 100 ? {} : drifting(n))).drift).toBeNull();
  });

  it("that goes with the warmth of the day, and is back every day, is none; that stays away for longer is one", () => {
    const daily_m = (n: number) => 0.006 * Math.cos((2 * Math.PI * n * every_s) / 86_400);
    const warmed = (n: number) => ({ start_m: 0.35 + daily_m(n), stop_m: 0.15 + daily_m(n) });
    expect(feed(2000, warmed).drift).toBeNull();
    const away = (n: number) => (n > 500 ? { start_m: 0.361, stop_m: 0.161 } : {});
    expect(feed(540, away).drift).toBeNull();
    expect(feed(700, away).drift?.shift_m).toBeGreaterThan(0.008);
  });

  it("of less than the least that counts, or lost in the scatter of a loose float, is none", () => {
    expect(feed(1000, (n) => (n > 40 ? { start_m: 0.354, stop_m: 0.154 } : {})).drift).toBeNull();
    expect(feed(3000, () => ({}), 0.008).drift).toBeNull();
  });
});

describe("a change of the distance between the trips", () => {
  const wider = { start_m: 0.368, stop_m: 0.156 };

  it("is the span also where that goes off slowly and the trips are far apart, so that millimetres are little of it", () => {
    // Over 500 cycles up to a seventh, of trips that are 350 mm apart.
    const drifting = (n: number) => {
      const span = 1 + (0.14 * Math.max(0, Math.min(500, n - 60))) / 500;
      return { start_m: span * 0.5, stop_m: span * 0.15, pumpRate_m3s: span * 0.002 };
    };
    expect(feed(600, drifting, 0.001).drift?.problem).toBe("span-drift");
  });

  it("is the sensor's span when the pump seems to move as much more", () => {
    const state = feed(120, (n) => (n > 40 ? { ...wider, pumpRate_m3s: 0.00212 } : {}));
    expect(state.drift?.problem).toBe("span-drift");
    expect(state.drift?.span_share).toBeCloseTo(0.06, 1);
    expect(spanOff(state)).toEqual({ now: state.drift?.span_share, most: state.spanWasOff });
    expect(state.spanWasOff).toBeGreaterThan(0.04);
  });

  it("is the float's own when the pump moves what it did, and is learned anew in silence", () => {
    const state = feed(200, (n) => (n > 40 ? { start_m: 0.4 } : {}));
    expect(state.drift).toBeNull();
    expect(usualTrips(state)?.start_m).toBeCloseTo(0.4, 2);
  });

  it("is chance where the floats are so close that a millimetre or two of their scatter are much of it", () => {
    const close = (n: number) => {
      const share = 1 + (n % 40 < 20 ? 0.05 : -0.05);
      return { start_m: 0.17 + 0.04 * share, stop_m: 0.17, pumpRate_m3s: 0.002 * share };
    };
    expect(feed(400, close, 0.003).drift).toBeNull();
  });

  it("is nobody's when only the pump moves less", () => {
    expect(feed(200, (n) => (n > 40 ? { pumpRate_m3s: 0.0016 } : {})).drift).toBeNull();
  });
});

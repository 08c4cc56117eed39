// A basin that a run of five seconds empties, and a pipe that gives back two thirds of it, or four fifths: how long such a run
// was is known to a fifth, and what it lifted no better by its rate.

import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../analysis/analyzer.ts";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { reading, smallSite, startTime_s } from "./small-basin.ts";

const area_m2 = 0.1;
const [stop_m3, start_m3] = [0.01, 0.022];
const inflow_m3s = 1.3e-5;

interface Leak {
  readonly leak_m3: number;
  readonly leaksFor_s?: number;
  readonly every_s?: number;
  readonly pump_m3s?: number;
  readonly noise_m?: number;
  /** Runs before it begins. */
  readonly after?: number;
}

/**
 * Inflow that is told of each rest, over the true one; all that was handed on since a cycle, likewise; what is told to have
 * run back after each stop, over the leak; and all that the pump moved.
 */
function shares(cycles: number, leak: Leak, since = cycles) {
  const { leak_m3, leaksFor_s = 60, every_s = 1, pump_m3s = 2.7e-3, noise_m = 0.001, after = 1 } = leak;
  const basin = { ...smallSite.basin, startLevel_m: start_m3 / area_m2, stopLevel_m: stop_m3 / area_m2 };
  const random = seededRandom(1);
  const step_s = 0.1;
  let [volume_m3, on, stoppedAt_s, runs] = [stop_m3, false, 0, 0];
  const found: number[] = [];
  const back: number[] = [];
  let pumped_m3 = 0;
  const handed = { volume_m3: 0, time_s: 0 };
  const analyzer = createAnalyzer(
    { ...smallSite, basin, pump: null },
    {
      sink: {
        cycle({ inflow, drainBack_m3 }: Cycle, stage) {
          if (stage === "settled" && inflow !== null) found.push(inflow.flow_m3s / inflow_m3s);
          if (stage === "settled" && drainBack_m3 !== null) back.push(drainBack_m3 / leak_m3);
        },
        inflow({ from_s, to_s, inflow_m3s: flow_m3s }) {
          if (runs <= since) return;
          handed.volume_m3 += flow_m3s * (to_s - from_s);
          handed.time_s += to_s - from_s;
        },
      },
    },
  );
  for (let i = 0; runs < cycles; i++) {
    const t = i * step_s;
    if (i % Math.round(every_s / step_s) === 0) {
      analyzer.push(reading(startTime_s + t, { level_m: volume_m3 / area_m2 + random.normal(noise_m), pumpOn: on }));
    }
    const left = Math.max(0, 1 - (t - stoppedAt_s) / leaksFor_s);
    const back_m3s = on || runs < after ? 0 : (2 * leak_m3 * left) / leaksFor_s;
    volume_m3 += (inflow_m3s + back_m3s - (on ? pump_m3s : 0)) * step_s;
    if (on) pumped_m3 += pump_m3s * step_s;
    if (on && volume_m3 <= stop_m3) [on, stoppedAt_s, runs] = [false, t, runs + 1];
    else if (!on && volume_m3 >= start_m3) on = true;
  }
  const { inflow, totals } = analyzer.summary();
  const minute_m3s = (inflow.peak[60]?.lpm ?? Number.NaN) / 60_000;
  return {
    found,
    back,
    minute: minute_m3s / inflow_m3s,
    handed: handed.volume_m3 / handed.time_s / inflow_m3s,
    pumped: (totals.pumped_l ?? Number.NaN) / 1000 / pumped_m3,
  };
}

function meanOf(shares: readonly number[]): number {
  return shares.reduce((sum, share) => sum + share, 0) / shares.length;
}

describe("a pipe that gives back most of what a short run lifts", () => {
  it("gives none of two thirds of it for inflow, rest after rest, once it is known", () => {
    const known = shares(40, { leak_m3: 0.0086 }).found.slice(15);
    expect(known.length).toBeGreaterThan(20);
    for (const share of known) expect(Math.abs(share - 1)).toBeLessThan(0.05);
  });

  it("gives none of four fifths of it for inflow, by readings 5 s apart either", () => {
    const known = shares(40, { leak_m3: 0.0096, every_s: 5 }).found.slice(15);
    expect(known.length).toBeGreaterThan(15);
    expect(Math.abs(meanOf(known) - 1)).toBeLessThan(0.2);
  });

  it("hands none of it on for a storm where it is back between readings 10 s apart", () => {
    const { handed } = shares(60, { leak_m3: 0.0086, leaksFor_s: 40, every_s: 10, pump_m3s: 1.1e-3 }, 25);
    expect(Math.abs(handed - 1)).toBeLessThan(0.1);
  });

  it("tells what was back before its stop was seen, too, by readings 5 s apart, and nothing of it twice", () => {
    const { back } = shares(60, { leak_m3: 0.005, every_s: 5, pump_m3s: 1.1e-3, after: 0 });
    const soon = meanOf(back.slice(8, 20));
    const later = meanOf(back.slice(40));
    expect(Math.abs(soon - 1)).toBeLessThan(0.04);
    expect(Math.abs(later - 1)).toBeLessThan(0.04);
  });

  it("counts what runs of one or two readings moved by what is gone after them, and what ran back", () => {
    const { pumped } = shares(60, { leak_m3: 0.005, leaksFor_s: 45, every_s: 5, pump_m3s: 2.2e-3, after: 0 });
    expect(Math.abs(pumped - 1)).toBeLessThan(0.04);
  });

  it("puts a minute's peak right that a rest broken off right after its stop has made", () => {
    const leak = { leak_m3: 0.006, leaksFor_s: 45, every_s: 5, pump_m3s: 2.2e-3, noise_m: 0.002, after: 16 };
    expect(shares(40, leak).minute).toBeLessThan(3);
  });
});

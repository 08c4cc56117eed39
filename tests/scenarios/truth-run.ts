// Plays a basin with known truth: the readings as a board would give them, and beside them what really happened.

import { basinGeometry } from "../../analysis/geometry/basin.ts";
import type { Reading } from "../../analysis/readings/reading.ts";
import type { TrueCycle } from "../../daemon/sources/simulated/basin-model.ts";
import { basinModel } from "../../daemon/sources/simulated/basin-model.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { sensors } from "../../daemon/sources/simulated/sensors.ts";
import type { TruthScenario } from "./truth-scenarios.ts";
import { pumpFlow_m3s, startTime_s } from "./truth-scenarios.ts";

export interface Truth {
  readonly cycles: TrueCycle[];
  readonly meanInflow_m3s: number;
  /** Highest mean over a rolling window of so many seconds. */
  readonly peak_m3s: Readonly<Record<"60" | "600" | "3600", number>>;
  readonly pumped_m3: number;
  readonly highestLevel_m: number;
}

export interface TruthRun {
  /** To be read once, to the end. */
  readonly readings: Iterable<Reading>;
  /** What happened, once all the readings have been read. */
  truth(): Truth;
}

export function playTruth(scenario: TruthScenario, seed: number): TruthRun {
  const duration_s = Math.round(scenario.days * 86_400);
  const inflowSum_m3 = new Float64Array(duration_s + 1);
  const cycles: TrueCycle[] = [];
  let highestLevel_m = 0;
  const { basin } = scenario.site;
  const model = basinModel({
    geometry: basinGeometry(basin.geometry),
    startLevel_m: basin.startLevel_m ?? Number.NaN,
    stopLevel_m: basin.stopLevel_m ?? Number.NaN,
    highLevel_m: basin.highLevel_m,
    overflowLevel_m: basin.overflowLevel_m,
    inflow_m3s: scenario.inflow_m3s,
    pumpFlow_m3s,
    startTime_s,
    initialLevel_m: 0.16,
    random: seededRandom(seed, 1),
    onCycle: (cycle) => cycles.push(cycle),
    ...scenario.model,
  });
  const read = sensors(scenario.sensors, seededRandom(seed, 2));

  function* readings(): Iterable<Reading> {
    const perSecond = Math.max(1, Math.round(1 / scenario.sample_s));
    for (let second = 1; second <= duration_s; second++) {
      for (let part = 1; part <= perSecond; part++) {
        model.advanceTo(startTime_s + second - 1 + part / perSecond);
        if (second % scenario.sample_s === 0 || scenario.sample_s < 1) yield read(model.state);
      }
      inflowSum_m3[second] = model.state.inflow_m3;
      highestLevel_m = Math.max(highestLevel_m, model.state.level_m);
    }
  }

  return {
    readings: scenario.spoil(readings(), seededRandom(seed, 3)),
    truth: () => ({
      cycles,
      meanInflow_m3s: model.state.inflow_m3 / duration_s,
      peak_m3s: { 60: peak(inflowSum_m3, 60), 600: peak(inflowSum_m3, 600), 3600: peak(inflowSum_m3, 3600) },
      pumped_m3: model.state.pumped_m3,
      highestLevel_m,
    }),
  };
}

function peak(sum_m3: Float64Array, window_s: number): number {
  let highest = 0;
  for (let i = window_s; i < sum_m3.length; i++) {
    highest = Math.max(highest, ((sum_m3[i] ?? 0) - (sum_m3[i - window_s] ?? 0)) / window_s);
  }
  return highest;
}

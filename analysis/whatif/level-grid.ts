// The basin cut into thin layers in which the pumps' flow is a straight line of the level and the surface is constant:
// there the course of the level is known in closed form. Every level at which something happens lies between two layers.

import { basinGeometry } from "../geometry/basin.ts";
import type { ReplayInstallation, RunsOn } from "./installation.ts";

/** What feeds each of two pumps, as one small number: 0 rests, 1 mains, 2 battery; the second pump's times 3. */
export type PumpMode = number;

export interface LevelGrid {
  /** Rising; the first is the bottom, the last the rim, or far above all where there is none. */
  readonly level_m: Float64Array;
  /** Water surface of the layer above each level. */
  readonly area_m2: Float64Array;
  /** Whether a float turns there. */
  readonly turns: readonly boolean[];
  /** Flow at each level. */
  flows_m3s(mode: PumpMode): Float64Array;
  /** The layer that holds a level. */
  layerOf(level_m: number): number;
}

/** The flow of a pump bends so little over this that straight pieces err by parts in a million. */
const layer_m = 0.02;
/** Without a rim: so far above the highest float; then one layer more, to where no water stands. */
const above_m = 2;
const skyHigh_m = 1e4;
const modes = 9;

export function levelGrid(installation: ReplayInstallation): LevelGrid {
  const { pumps, overflowLevel_m, highLevel_m, basin, groundHead } = installation;
  const marks = [
    ...pumps.flatMap(({ startLevel_m, stopLevel_m }) => [startLevel_m, stopLevel_m]),
    ...(highLevel_m === null ? [] : [highLevel_m]),
    ...(groundHead === null ? [] : [groundHead.nothing_m]),
    ...(basin.shape === "table" ? basin.rows.map((row) => row.level_m) : []),
  ];
  const top_m = overflowLevel_m ?? Math.max(...marks) + above_m;
  const layers = Math.ceil(top_m / layer_m);
  const even = Array.from({ length: layers + 1 }, (_, i) => (i === layers ? top_m : i * layer_m));
  const inside = [...even, ...marks.filter((level_m) => level_m > 0 && level_m < top_m)];
  const rising = [...new Set(inside)].sort((a, b) => a - b);
  const level_m = Float64Array.from(overflowLevel_m === null ? [...rising, skyHigh_m] : rising);
  const geometry = basinGeometry(basin);
  const area_m2 = level_m.map((low_m, i) => geometry.area_m2((low_m + (level_m[i + 1] ?? low_m)) / 2));
  const flows = new Array<Float64Array | undefined>(modes);

  function flowsOf(mode: PumpMode): Float64Array {
    const runs = [mode % 3, Math.floor(mode / 3)].slice(0, pumps.length).map(runsOn);
    // Past the last level that is told of, as there: the layer above it is there only to hold the water.
    return level_m.map((level, i) =>
      mode === 0 ? 0 : installation.flow_m3s(runs, level_m[i] === skyHigh_m ? top_m : level),
    );
  }

  return {
    level_m,
    area_m2,
    turns: Array.from(level_m, (level) =>
      pumps.some(({ startLevel_m, stopLevel_m }) => level === startLevel_m || level === stopLevel_m),
    ),
    flows_m3s(mode) {
      flows[mode] ??= flowsOf(mode);
      return flows[mode];
    },
    layerOf(level) {
      let layer = 0;
      while (layer < level_m.length - 2 && level >= (level_m[layer + 1] as number)) layer += 1;
      return layer;
    },
  };
}

function runsOn(digit: number): RunsOn | null {
  return digit === 0 ? null : digit === 1 ? "mains" : "battery";
}

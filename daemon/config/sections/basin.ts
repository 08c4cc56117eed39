// The `basin` group of the site file: shape, depth and the levels at which things happen.

import * as z from "zod";
import type { BasinShape, BasinSite } from "../../../analysis/site.ts";
import { fromSi } from "../../../analysis/units/unit.ts";
import { at, bothLengths, bothVolumes, evenIfIncomplete, has, lengthAt, numberAt, report } from "../cross-check.ts";
import { quantity } from "../quantity.ts";
import { standardUncertainty } from "./measurement.ts";

const side = () => quantity("length", { above: "0 mm" });

const occupied_area = quantity("area")
  .prefault("0 cm2")
  .describe("horizontal area taken up by the pump and its pipes; it must be less than the basin's own");

const levels = {
  depth: side().optional().describe("inside bottom to rim"),
  start_level: side().optional().describe("water level at which the pump's float closes"),
  stop_level: quantity("length")
    .optional()
    .describe("water level at which the pump's float opens; below `start_level`"),
  high_level: side().optional().describe("high water; above `start_level`"),
  inlet_level: side()
    .optional()
    .describe("lower edge of the lowest pipe that brings water in; the pump should start below it"),
  overflow_level: side().optional().describe("water reaches the floor; not below `high_level`"),
  active_volume: quantity("volume", { above: "0 L" })
    .optional()
    .describe(
      "between stop and start, as measured by filling from a bucket; used in place of the shape where no level is read",
    ),
  active_volume_uncertainty: quantity("volume")
    .optional()
    .describe("±, how far that may be off, 95 % coverage; less than `active_volume`"),
};

const round = z.strictObject({
  shape: z.literal("round").describe("how the basin is described"),
  diameter: side().describe("inside diameter"),
  occupied_area,
  ...levels,
});

const rectangular = z.strictObject({
  shape: z.literal("rectangular").describe("how the basin is described"),
  width: side().describe("inside width"),
  length: side().describe("inside length"),
  occupied_area,
  ...levels,
});

const table = z.strictObject({
  shape: z.literal("table").describe("how the basin is described"),
  table: z
    .array(z.tuple([quantity("length"), quantity("volume")]))
    .min(2)
    .describe("rows of level and volume, both rising from row to row; linear between rows"),
  ...levels,
});

export const basinSchema = z
  .discriminatedUnion("shape", [round, rectangular, table])
  .superRefine(checkLevels, evenIfIncomplete)
  .superRefine(checkOccupiedArea, evenIfIncomplete)
  .superRefine(checkTable, evenIfIncomplete)
  .superRefine(checkActiveVolume, evenIfIncomplete);

export type BasinKeys = z.output<typeof basinSchema>;

export function toBasinSite(basin: BasinKeys): BasinSite {
  return {
    geometry: toShape(basin),
    depth_m: basin.depth ?? null,
    startLevel_m: basin.start_level ?? null,
    stopLevel_m: basin.stop_level ?? null,
    highLevel_m: basin.high_level ?? null,
    overflowLevel_m: basin.overflow_level ?? null,
    ...(basin.inlet_level !== undefined && { inletLevel_m: basin.inlet_level }),
    ...(basin.active_volume !== undefined && {
      activeVolume: {
        volume_m3: basin.active_volume,
        uVolume_m3: standardUncertainty(basin.active_volume_uncertainty),
      },
    }),
  };
}

function toShape(basin: BasinKeys): BasinShape {
  switch (basin.shape) {
    case "round":
      return { shape: "round", diameter_m: basin.diameter, occupiedArea_m2: basin.occupied_area };
    case "rectangular":
      return {
        shape: "rectangular",
        width_m: basin.width,
        length_m: basin.length,
        occupiedArea_m2: basin.occupied_area,
      };
    case "table":
      return { shape: "table", rows: basin.table.map(([level_m, volume_m3]) => ({ level_m, volume_m3 })) };
  }
}

// From the lowest to the highest; the flag says that the two may be equal.
const order: readonly (readonly [lower: string, higher: string, mayBeEqual: boolean])[] = [
  ["stop_level", "start_level", false],
  ["stop_level", "high_level", false],
  ["stop_level", "overflow_level", false],
  ["stop_level", "depth", false],
  ["start_level", "high_level", false],
  ["start_level", "overflow_level", false],
  ["start_level", "depth", true],
  ["stop_level", "inlet_level", false],
  ["inlet_level", "overflow_level", true],
  ["high_level", "overflow_level", true],
];

function checkLevels(basin: unknown, context: z.core.$RefinementCtx): void {
  if (!hasKnownShape(basin)) return;
  const told = new Set<string>();
  for (const [lower, higher, mayBeEqual] of order) {
    const low_m = numberAt(basin, lower);
    const high_m = numberAt(basin, higher);
    if (low_m === null || high_m === null || told.has(lower)) continue;
    if (low_m < high_m || (mayBeEqual && low_m === high_m)) continue;
    told.add(lower);
    const relation = mayBeEqual ? "at most" : "less than";
    report(context, [lower], `expected ${relation} ${higher}, ${bothLengths(high_m)}, found ${bothLengths(low_m)}`);
  }
}

function checkOccupiedArea(basin: unknown, context: z.core.$RefinementCtx): void {
  if (!hasKnownShape(basin)) return;
  const occupied_m2 = numberAt(basin, "occupied_area");
  const plan_m2 = planArea_m2(basin);
  if (occupied_m2 === null || plan_m2 === null || occupied_m2 < plan_m2) return;
  const [plan, occupied] = [plan_m2, occupied_m2].map((area) => `${Math.round(fromSi(area, "cm2"))} cm2`);
  report(context, ["occupied_area"], `expected less than the basin's own ${plan}, found ${occupied}`);
}

/** Of a basin of no known shape nothing was read: its keys are still the texts of the file. */
export function hasKnownShape(basin: unknown): boolean {
  const shape = at(basin, "shape");
  return shape === "round" || shape === "rectangular" || shape === "table";
}

function planArea_m2(basin: unknown): number | null {
  const diameter_m = numberAt(basin, "diameter");
  if (at(basin, "shape") === "round") return diameter_m === null ? null : (Math.PI / 4) * diameter_m ** 2;
  const width_m = numberAt(basin, "width");
  const length_m = numberAt(basin, "length");
  return width_m === null || length_m === null ? null : width_m * length_m;
}

const columns = [
  { name: "level", written: bothLengths },
  { name: "volume", written: bothVolumes },
];

function checkTable(basin: unknown, context: z.core.$RefinementCtx): void {
  for (let row = 1; row < lengthAt(basin, "table"); row++) {
    for (const [column, { name, written }] of columns.entries()) {
      const before = numberAt(basin, "table", row - 1, column);
      const here = numberAt(basin, "table", row, column);
      if (before === null || here === null || here > before) continue;
      report(
        context,
        ["table", row, column],
        `expected a ${name} above that of the row before, ${written(before)}, found ${written(here)}`,
      );
    }
  }
}

function checkActiveVolume(basin: unknown, context: z.core.$RefinementCtx): void {
  if (!hasKnownShape(basin)) return;
  const volume = "active_volume";
  const uncertainty = "active_volume_uncertainty";
  if (has(basin, uncertainty) && !has(basin, volume)) {
    report(context, [uncertainty], `expected ${volume} beside it, found nothing`);
  }
  const volume_m3 = numberAt(basin, volume);
  const half_m3 = numberAt(basin, uncertainty);
  if (volume_m3 === null || half_m3 === null || half_m3 < volume_m3) return;
  report(
    context,
    [uncertainty],
    `expected less than ${volume}, ${bothVolumes(volume_m3)}, found ${bothVolumes(half_m3)}`,
  );
}

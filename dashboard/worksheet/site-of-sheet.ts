// From the sheet to a site that can be reckoned with; what is missing is named, and what cannot be. Pure.

import { pipeSizes } from "../../analysis/hydraulics/pipe-table.ts";
import type {
  BasinShape,
  CurvePoint,
  DischargeSite,
  FittingKind,
  FittingSite,
  PumpSite,
  Site,
} from "../../analysis/site.ts";
import type { BackupSite } from "../../analysis/sizing/battery/backup-site.ts";
import type { UnitSystem } from "../../analysis/units/display.ts";
import { curveProblem } from "./curve-problem.ts";
import type { FieldKey } from "./fields.ts";
import { isPlain, type Sheet, sameSize, usualBackup } from "./sheet.ts";

export interface SiteOfSheet {
  /** What can be reckoned with; a part that is incomplete or cannot be is left out of it. */
  readonly site: Site;
  /** Fields without which a part had to be left out. */
  readonly asked: readonly FieldKey[];
  /** What cannot be, in words that name both figures. */
  readonly problems: readonly Problem[];
}

/** Two figures that cannot both be right; the words for them are made where the units are known. */
export type Problem =
  | { readonly kind: "not-below"; readonly lower: FieldKey; readonly upper: FieldKey }
  | { readonly kind: "no-room" }
  | { readonly kind: "curve"; readonly words: string };

/**
 * @param base the site as the daemon has it: what the worksheet does not ask for stays as it is there
 * @param units that words are written in
 */
export function siteOf(sheet: Sheet, base: Site, units: UnitSystem): SiteOfSheet {
  const asked: FieldKey[] = [];
  const problems: Problem[] = [...levelProblems(sheet)];
  const geometry = geometryOf(sheet, base.basin.geometry, asked, problems);
  const at = (key: FieldKey) => sheet.numbers[key] ?? null;
  const wrong = new Set(problems.flatMap((problem) => (problem.kind === "not-below" ? [problem.upper] : [])));
  const level = (key: FieldKey) => (wrong.has(key) ? null : at(key));
  const sameBasin = JSON.stringify(geometry) === JSON.stringify(base.basin.geometry);
  const sameFloats = at("start") === base.basin.startLevel_m && at("stop") === base.basin.stopLevel_m;
  const basin: Site["basin"] = {
    ...base.basin,
    geometry,
    depth_m: at("depth"),
    stopLevel_m: at("stop"),
    startLevel_m: level("start"),
    highLevel_m: level("high"),
    overflowLevel_m: level("overflow"),
    inletLevel_m: at("inlet"),
    // Poured in between these floats in this basin; of others it says nothing.
    ...(!(sameBasin && sameFloats) && { activeVolume: null }),
  };
  for (const key of ["stop", "start", "overflow"] as const) if (at(key) === null) asked.push(key);
  const pump = pumpOf(sheet, base.pump, units, asked, problems);
  const discharge = dischargeOf(sheet, base.discharge, asked);
  const { pumps: _, ...rest } = base;
  return {
    site: {
      ...rest,
      displayUnits: units,
      ...(base.pumps !== undefined && pump !== null && { pumps: [pump, base.pumps[1]] as const }),
      basin,
      pump,
      discharge,
      design: designOf(sheet, base, asked),
      backup: backupOf(sheet, base),
    },
    asked,
    problems,
  };
}

/** Each level stands above the one before. */
function* levelProblems({ numbers }: Sheet): Generator<Problem> {
  const order = ["stop", "start", "high", "overflow"] as const;
  let lower: FieldKey | null = null;
  for (const upper of order) {
    const value = numbers[upper] ?? null;
    if (value === null) continue;
    if (lower !== null && !(value > (numbers[lower] ?? 0))) yield { kind: "not-below", lower, upper };
    else lower = upper;
  }
}

function geometryOf(sheet: Sheet, base: BasinShape, asked: FieldKey[], problems: Problem[]): BasinShape {
  if (sheet.shape === "table") return base;
  const sides = sheet.shape === "round" ? (["diameter"] as const) : (["width", "length"] as const);
  const missing = sides.filter((key) => (sheet.numbers[key] ?? null) === null);
  asked.push(...missing);
  if (missing.length > 0) return base;
  const [one = 0, other = one] = sides.map((key) => sheet.numbers[key] ?? 0);
  const occupiedArea_m2 = sheet.numbers.occupied ?? 0;
  const plan_m2 = sheet.shape === "round" ? (Math.PI / 4) * one ** 2 : one * other;
  if (!(plan_m2 > occupiedArea_m2)) {
    problems.push({ kind: "no-room" });
    return base;
  }
  if (sheet.shape === "round") return { shape: "round", diameter_m: one, occupiedArea_m2 };
  return { shape: "rectangular", width_m: one, length_m: other, occupiedArea_m2 };
}

function pumpOf(
  { numbers, curve }: Sheet,
  base: PumpSite | null,
  units: UnitSystem,
  asked: FieldKey[],
  problems: Problem[],
): PumpSite {
  const points = curve.filter((row): row is CurvePoint => row.flow_m3s !== null && row.head_m !== null);
  const words = points.length < 2 ? null : curveProblem(points, units);
  if (words !== null) problems.push({ kind: "curve", words });
  if (points.length < 2) asked.push("curveFlow");
  return {
    ...base,
    curve: points.length < 2 || words !== null ? null : points,
    maxStartsPerHour: numbers.maxStarts ?? null,
    minRun_s: numbers.minRun ?? null,
    inputPower_w: numbers.inputPower ?? null,
  };
}

function dischargeOf(sheet: Sheet, base: DischargeSite | null, asked: FieldKey[]): DischargeSite | null {
  const { numbers, material } = sheet;
  const { highPoint = null, pipeLength = null, bore = null } = numbers;
  const size =
    material === null ? undefined : pipeSizes(material).find((known) => sameSize(known.nominal_m, sheet.nominal_m));
  const sized = bore !== null || size !== undefined;
  if (highPoint === null) asked.push("highPoint");
  if (pipeLength === null) asked.push("pipeLength");
  if (material === null || !sized) asked.push("bore");
  if (highPoint === null || pipeLength === null || material === null || !sized) return null;
  return {
    ...base,
    highPoint_m: highPoint,
    pipe: {
      ...base?.pipe,
      material,
      nominal_m: bore === null ? (size?.nominal_m ?? null) : null,
      insideDiameter_m: bore,
      length_m: pipeLength,
    },
    fittings: fittingsOf(sheet, base),
  };
}

/** Counted on the sheet; those with a coefficient of their own stay as the site file has them. */
function fittingsOf({ counts }: Sheet, base: DischargeSite | null): FittingSite[] {
  const own = (base?.fittings ?? []).filter((fitting) => !isPlain(fitting));
  const counted = Object.entries(counts).flatMap(([kind, count]) =>
    count > 0 ? [{ kind: kind as FittingKind, count }] : [],
  );
  return [...counted, ...own];
}

function designOf({ numbers, distribution }: Sheet, base: Site, asked: FieldKey[]): Site["design"] {
  const { factor, stormDepth = null, stormDuration = null } = numbers;
  if (factor == null) asked.push("factor");
  const inflowFactor = factor ?? base.design.inflowFactor;
  if (stormDepth === null || stormDuration === null || distribution === null) return { inflowFactor };
  const storm = { ...base.design.storm, depth_m: stormDepth, duration_s: stormDuration, distribution };
  return { inflowFactor, storm };
}

/** Null where neither a power cut to hold nor a battery is named. */
function backupOf({ numbers }: Sheet, base: Site): BackupSite | null {
  const { hold = null, capacity = null, volts = null, ratedHours = null } = numbers;
  if (hold === null && capacity === null) return null;
  const stated = base.backup ?? usualBackup;
  return {
    ...stated,
    hold_s: hold,
    capacity_ah: capacity,
    volts: volts ?? stated.volts,
    ratedHours: ratedHours ?? stated.ratedHours,
    pumpPower_w: numbers.backupPower ?? null,
    pumpFlow_m3s: numbers.backupFlow ?? null,
  };
}

// The worksheet's own copy of the installation: what the site file says at first, then whatever is tried out. Nothing of
// it is kept, and the daemon never hears of it. What can be reckoned with it is site-of-sheet.ts's to say. Pure.

import type { BasinShape, DischargeSite, FittingKind, FittingSite, PipeMaterial, Site } from "../../analysis/site.ts";
import type { BackupSite } from "../../analysis/sizing/battery/backup-site.ts";
import type { RainDistribution } from "../../analysis/storms/design-storm-site.ts";
import type { FieldKey } from "./fields.ts";

/** A row of the pump's curve as it is being typed. */
export interface CurveRow {
  readonly flow_m3s: number | null;
  readonly head_m: number | null;
}

export interface Sheet {
  readonly numbers: Readonly<Partial<Record<FieldKey, number | null>>>;
  readonly shape: BasinShape["shape"];
  readonly material: PipeMaterial | null;
  readonly nominal_m: number | null;
  readonly distribution: RainDistribution | null;
  readonly counts: Readonly<Partial<Record<FittingKind, number>>>;
  readonly curve: readonly CurveRow[];
}

export function sheetOf(site: Site): Sheet {
  const { basin, discharge, pump, design, backup } = site;
  const { geometry } = basin;
  const storm = design.storm ?? null;
  return {
    shape: geometry.shape,
    material: discharge?.pipe.material ?? null,
    nominal_m: discharge?.pipe.nominal_m ?? null,
    distribution: storm?.distribution ?? null,
    counts: countsOf(discharge),
    curve: pump?.curve ?? [],
    numbers: {
      diameter: geometry.shape === "round" ? geometry.diameter_m : null,
      width: geometry.shape === "rectangular" ? geometry.width_m : null,
      length: geometry.shape === "rectangular" ? geometry.length_m : null,
      occupied: geometry.shape === "table" ? null : geometry.occupiedArea_m2,
      depth: basin.depth_m,
      stop: basin.stopLevel_m,
      start: basin.startLevel_m,
      high: basin.highLevel_m,
      overflow: basin.overflowLevel_m,
      inlet: basin.inletLevel_m ?? null,
      highPoint: discharge?.highPoint_m ?? null,
      pipeLength: discharge?.pipe.length_m ?? null,
      bore: discharge?.pipe.insideDiameter_m ?? null,
      maxStarts: pump?.maxStartsPerHour ?? null,
      minRun: pump?.minRun_s ?? null,
      inputPower: pump?.inputPower_w ?? null,
      factor: design.inflowFactor,
      stormDepth: storm?.depth_m ?? null,
      stormDuration: storm?.duration_s ?? null,
      hold: backup?.hold_s ?? null,
      capacity: backup?.capacity_ah ?? null,
      ratedHours: backup?.ratedHours ?? usualBackup.ratedHours,
      volts: backup?.volts ?? usualBackup.volts,
      backupPower: backup?.pumpPower_w ?? null,
      backupFlow: backup?.pumpFlow_m3s ?? null,
    },
  };
}

function countsOf(discharge: DischargeSite | null): Partial<Record<FittingKind, number>> {
  const counts: Partial<Record<FittingKind, number>> = {};
  for (const fitting of discharge?.fittings ?? []) {
    if (isPlain(fitting)) counts[fitting.kind] = (counts[fitting.kind] ?? 0) + fitting.count;
  }
  return counts;
}

/** Counted by its kind, without a coefficient or a bore of its own. */
export function isPlain({ kind, lossCoefficient, otherBore_m }: FittingSite): boolean {
  const changes = kind === "reducer" || kind === "enlargement" || kind === "other";
  return !changes && lossCoefficient == null && otherBore_m == null;
}

/** A nominal size comes back from a list as text and from a file as a product of fractions. */
export function sameSize(one_m: number, other_m: number | null): boolean {
  return other_m !== null && Math.abs(one_m - other_m) < 0.0002;
}

/** As the site file's defaults: common practice, no source. The answer says what was assumed. */
export const usualBackup: BackupSite = {
  hold_s: null,
  capacity_ah: null,
  volts: 12,
  ratedHours: 20,
  peukertExponent: 1.2,
  depthOfDischarge: 0.5,
  inverterEfficiency: 0.85,
  inverterIdle_w: null,
  temperature_c: null,
  ageingFactor: 1.25,
  pumpPower_w: null,
  pumpFlow_m3s: null,
};

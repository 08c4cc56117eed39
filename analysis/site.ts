// The installation as the analysis sees it: basin, pump, discharge, design rule. SI throughout.
// The site file's syntax, its units and its checks belong to daemon/config.

import type { BackupSite } from "./sizing/battery/backup-site.ts";
import type { DesignStormSite } from "./storms/design-storm-site.ts";

/** A point of a pump's published curve. */
export interface CurvePoint {
  readonly flow_m3s: number;
  readonly head_m: number;
}

export type BasinShape =
  | { readonly shape: "round"; readonly diameter_m: number; readonly occupiedArea_m2: number }
  | {
      readonly shape: "rectangular";
      readonly width_m: number;
      readonly length_m: number;
      readonly occupiedArea_m2: number;
    }
  /** Level against volume, both strictly rising, linear between rows. */
  | { readonly shape: "table"; readonly rows: readonly { readonly level_m: number; readonly volume_m3: number }[] };

export interface BasinSite {
  readonly geometry: BasinShape;
  readonly depth_m: number | null;
  /** The pump's float closes. */
  readonly startLevel_m: number | null;
  /** The pump's float opens. */
  readonly stopLevel_m: number | null;
  /** High water. */
  readonly highLevel_m: number | null;
  /** Water reaches the floor. */
  readonly overflowLevel_m: number | null;
  /** Lower edge of the lowest pipe that brings water in; null or absent: not given. */
  readonly inletLevel_m?: number | null;
  /** Between stop and start, as measured by filling it from a bucket; null or absent: by the geometry and the levels. */
  readonly activeVolume?: MeasuredVolume | null;
}

export interface MeasuredVolume {
  readonly volume_m3: number;
  /** Standard uncertainty; null when none was stated. */
  readonly uVolume_m3: number | null;
}

/** How well things are known, as standard uncertainties (GUM); null where nothing was stated, and then nothing is assumed. */
export interface MeasurementSite {
  /** Share of every volume that is reckoned from the basin's shape. */
  readonly uGeometry: number | null;
  /** Share of every level: the sensor's span. */
  readonly uLevelSpan: number | null;
  readonly uLevelZero_m: number | null;
  /** Of start and stop level as given, each, against the mean of where the float trips. */
  readonly uFloatLevels_m: number | null;
  /** Of one trip of the float against the mean of its trips. */
  readonly uFloatRepeatability_m: number | null;
  /** Of one edge of a switch, beside what the interval between readings leaves open. */
  readonly uEdge_s: number | null;
}

export interface PumpSite {
  /** Flow rising, head falling; at least two points. */
  readonly curve: readonly CurvePoint[] | null;
  /** True: the curve is drawn through three figures of a data sheet, not read from a published one. */
  readonly curveOfThree?: boolean;
  /** Of the pump alone, at work: power that the water takes on over power at the shaft. */
  readonly efficiency?: number | null;
  /** Of its motor: power at the shaft over power from the supply. */
  readonly motorEfficiency?: number | null;
  /** From the supply while it runs, as measured or as its plate says. */
  readonly inputPower_w?: number | null;
  readonly maxStartsPerHour: number | null;
  readonly minRun_s: number | null;
  /** Of one of two pumps: what it is called, and the levels of its own float where they are not the basin's. */
  readonly name?: string | null;
  readonly startLevel_m?: number | null;
  readonly stopLevel_m?: number | null;
}

export type PipeMaterial =
  | "pvc-40"
  | "pvc-80"
  | "abs-40"
  | "abs-80"
  | "copper-k"
  | "copper-l"
  | "copper-m"
  | "galvanised-steel"
  | "pvc-pn10"
  | "pvc-pn16"
  | "pe-sidr"
  | "pe-sdr11"
  | "pe-sdr17"
  | "corrugated-hose";

export type FittingKind =
  | "entrance"
  | "exit"
  | "elbow-90"
  | "elbow-90-long-radius"
  | "elbow-90-street"
  | "elbow-45"
  | "elbow-45-street"
  | "tee-run"
  | "tee-branch"
  | "union"
  | "gate-valve"
  | "ball-valve"
  | "check-valve-swing"
  | "check-valve-spring"
  | "reducer"
  | "enlargement"
  | "other";

export interface FittingSite {
  readonly kind: FittingKind;
  readonly count: number;
  /** Own loss coefficient of one, on the velocity head of the pipe it is in; null or absent: that of the table. */
  readonly lossCoefficient?: number | null;
  /** Of a reducer or an enlargement: the bore on its other side; null or absent: that of the next length of pipe. */
  readonly otherBore_m?: number | null;
}

export interface PipeSite {
  readonly material: PipeMaterial;
  /** Nominal size, as named by the trade; null when an inside diameter is given instead. */
  readonly nominal_m: number | null;
  readonly insideDiameter_m: number | null;
  readonly length_m: number;
  /** Of the wall; null or absent: that of the material. */
  readonly roughness_m?: number | null;
  /** For Hazen and Williams; null or absent: that of the material. */
  readonly hazenWilliamsC?: number | null;
}

/** A length of one size, with what is fitted into it. */
export interface PipeSection {
  readonly pipe: PipeSite;
  readonly fittings: readonly FittingSite[];
}

/** From the pump to where the water leaves; of two pumps, what both share. */
export interface DischargeSite extends PipeSection {
  /** Highest point of the discharge above the inside bottom of the basin. */
  readonly highPoint_m: number;
  /** Further lengths of another size, in the order in which the water goes through them. */
  readonly further?: readonly PipeSection[];
  /** Of two pumps: each one's own pipe up to where the two join, the one on duty first; null: nothing worth counting. */
  readonly risers?: readonly [PipeSection | null, PipeSection | null];
  /** Null or absent: 10 °C, which ground water is close to. */
  readonly waterTemperature_c?: number | null;
}

export interface Site {
  readonly name: string;
  /** IANA name. */
  readonly timezone: string;
  readonly displayUnits: "us" | "metric";
  readonly basin: BasinSite;
  /** The pump; of two, the first, which is on duty. */
  readonly pump: PumpSite | null;
  /** Both pumps where there are two, the one on duty first; absent where there is one, or where none is given. */
  readonly pumps?: readonly [PumpSite, PumpSite];
  readonly discharge: DischargeSite | null;
  /** Null or absent: nothing was stated of how well things are known. */
  readonly measurement?: MeasurementSite | null;
  readonly design: {
    readonly inflowFactor: number;
    /** The storm that the installation must hold; null or absent: none given. */
    readonly storm?: DesignStormSite | null;
  };
  /** Null or absent: nothing stands ready, or nothing is said of it. */
  readonly backup?: BackupSite | null;
}

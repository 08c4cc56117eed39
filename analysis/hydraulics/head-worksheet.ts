// The head that a discharge asks for at a flow, line by line, as plain data that a page or a report prints and a plumber
// works out again by hand. Its totals are those of discharge-head.ts.

import type { DischargeSite, FittingKind } from "../site.ts";
import { staticHead, waterOf } from "./discharge-head.ts";
import { dischargePath, type PathFitting, type PathLength } from "./discharge-path.ts";
import { type FlowRegime, flowRegime, frictionFactor } from "./friction-factor.ts";
import { hazenWilliamsLoss_m } from "./hazen-williams.ts";
import { pipeVelocity_ms, velocityHead_m } from "./velocity-head.ts";
import { waterDensity_kgm3, waterKinematicViscosity_m2s } from "./water.ts";

export interface HeadWorksheet {
  readonly flow_m3s: number;
  readonly level_m: number;
  readonly highPoint_m: number;
  /** High point less level; 0 where the water stands above it. */
  readonly staticHead_m: number;
  /** Over the drawdown: most lift at the stop level, least at the start level; null where those were not told. */
  readonly drawdown: {
    readonly stopLevel_m: number;
    readonly worstStaticHead_m: number;
    readonly startLevel_m: number;
    readonly bestStaticHead_m: number;
  } | null;
  readonly water: {
    readonly temperature_c: number;
    readonly density_kgm3: number;
    readonly kinematicViscosity_m2s: number;
  };
  /** From the pump to where the water leaves. */
  readonly lengths: readonly WorksheetLength[];
  /** Sum of the lengths' `loss_m`. */
  readonly frictionHead_m: number;
  /**
   * Standard uncertainty at this flow: published coefficients of fittings differ by a factor of two to three, and pipe has
   * tolerances. Levels and lengths count as exact, and so does a K that the site gives itself.
   */
  readonly uFrictionHead_m: number;
  readonly totalDynamicHead_m: number;
  /** The same by Hazen and Williams, fittings as above, to compare; null where a length has no C. */
  readonly hazenWilliams: { readonly frictionHead_m: number; readonly totalDynamicHead_m: number } | null;
}

export interface WorksheetLength {
  /** `riser`: of one pump alone; `pipe`: the discharge pipe; `further`: a further size. */
  readonly role: "riser" | "pipe" | "further";
  /** `1-1/2 in PVC schedule 40`. */
  readonly label: string;
  readonly flow_m3s: number;
  readonly length_m: number;
  readonly insideDiameter_m: number;
  readonly boreSource: string;
  readonly roughness_m: number;
  readonly roughnessSource: string;
  readonly velocity_ms: number;
  /** v²/2g. */
  readonly velocityHead_m: number;
  readonly reynolds: number;
  readonly regime: FlowRegime;
  /** Darcy's; null at no flow. */
  readonly frictionFactor: number | null;
  /** f · L/D · v²/2g. */
  readonly pipeLoss_m: number;
  readonly uPipeLoss_m: number;
  readonly fittings: readonly WorksheetFitting[];
  /** Sum of the fittings' `loss_m`. */
  readonly fittingsLoss_m: number;
  readonly loss_m: number;
  /** The pipe alone, without fittings, by Hazen and Williams; null where no C is published. */
  readonly hazenWilliams: { readonly c: number; readonly cSource: string; readonly pipeLoss_m: number } | null;
}

export interface WorksheetFitting {
  readonly kind: FittingKind;
  /** `elbow 90°`. */
  readonly label: string;
  readonly count: number;
  /** Of one. */
  readonly k: number;
  readonly source: string;
  /** False: the site file does not list it; it follows from the rest (the exit, a change of bore). */
  readonly listed: boolean;
  /** Bore that its velocity head is taken in: of a change of bore the narrower one, else the pipe's. */
  readonly insideDiameter_m: number;
  readonly velocityHead_m: number;
  /** count · K · v²/2g. */
  readonly loss_m: number;
  /** All of one kind err together; null where the site gives K. */
  readonly uLoss_m: number | null;
}

export interface WorksheetOptions {
  /** Of the water; null: as the site gives it, else 10 °C. */
  readonly temperature_c?: number | null;
  /** For the best and the worst lift. */
  readonly startLevel_m?: number | null;
  readonly stopLevel_m?: number | null;
  /** Of two pumps that run together: what goes through the first one's own riser; null: all of the flow. */
  readonly riserFlow_m3s?: number | null;
}

/**
 * The head sum of a discharge at one flow and one water level.
 *
 * @param flow_m3s 0 or above
 * @param level_m  above the inside bottom of the basin
 * @throws {RangeError} as `dischargeHead`
 */
export function headWorksheet(
  discharge: DischargeSite,
  flow_m3s: number,
  level_m: number,
  options: WorksheetOptions = {},
): HeadWorksheet {
  if (!(flow_m3s >= 0)) throw new RangeError(`headWorksheet: the flow is ${flow_m3s} m³/s; it must be 0 or above`);
  const temperature_c = waterOf(discharge, options.temperature_c);
  const viscosity_m2s = waterKinematicViscosity_m2s(temperature_c);
  const lengths = dischargePath(discharge).map((length) =>
    lengthLine(length, length.role === "riser" ? (options.riserFlow_m3s ?? flow_m3s) : flow_m3s, viscosity_m2s),
  );
  const staticHead_m = staticHead(discharge, level_m);
  const frictionHead_m = sumOf(lengths, ({ loss_m }) => loss_m);
  const comparison_m = hazenWilliamsHead_m(lengths);
  return {
    flow_m3s,
    level_m,
    highPoint_m: discharge.highPoint_m,
    staticHead_m,
    drawdown: overDrawdown(discharge, options),
    water: { temperature_c, density_kgm3: waterDensity_kgm3(temperature_c), kinematicViscosity_m2s: viscosity_m2s },
    lengths,
    frictionHead_m,
    uFrictionHead_m: uFriction_m(lengths),
    totalDynamicHead_m: staticHead_m + frictionHead_m,
    hazenWilliams:
      comparison_m === null ? null : { frictionHead_m: comparison_m, totalDynamicHead_m: staticHead_m + comparison_m },
  };
}

function overDrawdown(
  discharge: DischargeSite,
  { startLevel_m = null, stopLevel_m = null }: WorksheetOptions,
): HeadWorksheet["drawdown"] {
  if (startLevel_m === null || stopLevel_m === null) return null;
  return {
    stopLevel_m,
    worstStaticHead_m: staticHead(discharge, stopLevel_m),
    startLevel_m,
    bestStaticHead_m: staticHead(discharge, startLevel_m),
  };
}

function lengthLine(
  { role, bore, length_m, fittings }: PathLength,
  flow_m3s: number,
  viscosity_m2s: number,
): WorksheetLength {
  const { insideDiameter_m, roughness_m, hazenWilliamsC, sources } = bore;
  const velocity_ms = pipeVelocity_ms(flow_m3s, insideDiameter_m);
  const own_m = velocityHead_m(velocity_ms);
  const reynolds = (velocity_ms * insideDiameter_m) / viscosity_m2s;
  const regime = flowRegime(reynolds);
  const factor = regime === "at-rest" ? null : frictionFactor(reynolds, roughness_m / insideDiameter_m);
  const pipeLoss_m = factor === null ? 0 : ((factor * length_m) / insideDiameter_m) * own_m;
  const lines = fittings.map((fitting) => fittingLine(fitting, regime === "at-rest" ? 0 : flow_m3s));
  const fittingsLoss_m = sumOf(lines, ({ loss_m }) => loss_m);
  return {
    role,
    label: bore.label,
    flow_m3s,
    length_m,
    insideDiameter_m,
    boreSource: sources.bore,
    roughness_m,
    roughnessSource: sources.roughness,
    velocity_ms,
    velocityHead_m: own_m,
    reynolds,
    regime,
    frictionFactor: factor,
    pipeLoss_m,
    uPipeLoss_m: bore.uLoss * pipeLoss_m,
    fittings: lines,
    fittingsLoss_m,
    loss_m: pipeLoss_m + fittingsLoss_m,
    hazenWilliams:
      hazenWilliamsC === null || sources.c === null
        ? null
        : {
            c: hazenWilliamsC,
            cSource: sources.c,
            pipeLoss_m: hazenWilliamsLoss_m(flow_m3s, insideDiameter_m, length_m, hazenWilliamsC),
          },
  };
}

function fittingLine(
  { kind, label, count, k, uK, source, listed, bore_m }: PathFitting,
  flow_m3s: number,
): WorksheetFitting {
  const head_m = velocityHead_m(pipeVelocity_ms(flow_m3s, bore_m));
  return {
    kind,
    label,
    count,
    k,
    source,
    listed,
    insideDiameter_m: bore_m,
    velocityHead_m: head_m,
    loss_m: count * k * head_m,
    uLoss_m: uK === null ? null : count * uK * head_m,
  };
}

/** Fittings of one kind share their coefficient's error, in whatever length they are; the kinds and the pipes do not. */
function uFriction_m(lengths: readonly WorksheetLength[]): number {
  const byKind = new Map<FittingKind, number>();
  for (const { kind, uLoss_m } of lengths.flatMap(({ fittings }) => fittings)) {
    byKind.set(kind, (byKind.get(kind) ?? 0) + (uLoss_m ?? 0));
  }
  return Math.hypot(...byKind.values(), ...lengths.map(({ uPipeLoss_m }) => uPipeLoss_m));
}

function hazenWilliamsHead_m(lengths: readonly WorksheetLength[]): number | null {
  if (lengths.some(({ hazenWilliams }) => hazenWilliams === null)) return null;
  return sumOf(lengths, ({ hazenWilliams, fittingsLoss_m }) => (hazenWilliams?.pipeLoss_m ?? 0) + fittingsLoss_m);
}

function sumOf<T>(lines: readonly T[], value: (line: T) => number): number {
  return lines.reduce((sum, line) => sum + value(line), 0);
}

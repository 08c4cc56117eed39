// The head at the required flow in the sizing answer: the worksheet of analysis/hydraulics as lines.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { dischargeHead, staticHead } from "../hydraulics/discharge-head.ts";
import {
  type HeadWorksheet,
  headWorksheet,
  type WorksheetFitting,
  type WorksheetLength,
} from "../hydraulics/head-worksheet.ts";
import { pipeVelocity_ms } from "../hydraulics/velocity-head.ts";
import type { DischargeSite, Site } from "../site.ts";
import { words } from "../units/words.ts";
import type { SizingHead, SizingHeadLine } from "./answer/lift.ts";
import { half, lpm } from "./to-answer.ts";

/** Level of the greatest lift: the stop level; where none is given, the inside bottom of the basin. */
export function lowestLevel_m({ basin }: Site): number {
  return basin.stopLevel_m ?? 0;
}

/** @returns null without a discharge or a required flow */
export function headAnswer(site: Site, required: FlowEstimate | null): SizingHead | null {
  const { discharge, basin } = site;
  if (discharge === null || required === null) return null;
  const level_m = lowestLevel_m(site);
  const sheet = headWorksheet(discharge, required.flow_m3s, level_m);
  const say = words(site.displayUnits);
  return {
    lpm: lpm(required.flow_m3s),
    level_mm: level_m * 1000,
    static_m: sheet.staticHead_m,
    static_at_start_m: basin.startLevel_m === null ? null : staticHead(discharge, basin.startLevel_m),
    friction_m: sheet.frictionHead_m,
    total_m: sheet.totalDynamicHead_m,
    u95_total_m: half(
      Math.hypot(steepness(discharge, required.flow_m3s, level_m) * required.uFlow_m3s, sheet.uFrictionHead_m),
    ),
    hazen_williams: hazenWilliamsOf(sheet),
    lines: [
      {
        what: `lift from ${say.level(level_m)} to the high point, ${say.head(discharge.highPoint_m)} above the basin's bottom`,
        kind: "lift",
        count: null,
        k: null,
        length_m: null,
        inside_diameter_mm: null,
        velocity_ms: null,
        head_m: sheet.staticHead_m,
        source: "high point less water level",
      },
      ...sheet.lengths.flatMap((length) => [
        pipeLine(length, `${say.head(length.length_m)} of ${length.label}`),
        ...length.fittings.map((fitting) => fittingLine(fitting, length)),
      ]),
    ],
  };
}

function hazenWilliamsOf({ hazenWilliams, lengths }: HeadWorksheet): SizingHead["hazen_williams"] {
  if (hazenWilliams === null) return null;
  const by = lengths.flatMap(({ hazenWilliams: own }) => own ?? []);
  return {
    c: [...new Set(by.map(({ c }) => c))],
    friction_m: hazenWilliams.frictionHead_m,
    total_m: hazenWilliams.totalDynamicHead_m,
    source: `4.727·C^−1.852·D^−4.871·L·Q^1.852 in ft and ft³/s, fittings as above; C: ${[...new Set(by.map(({ cSource }) => cSource))].join("; ")}`,
  };
}

function pipeLine(length: WorksheetLength, what: string): SizingHeadLine {
  const { frictionFactor, reynolds, roughness_m, boreSource, roughnessSource } = length;
  const factor = frictionFactor === null ? "" : `, f ${frictionFactor.toPrecision(4)} at Re ${Math.round(reynolds)}`;
  return {
    what,
    kind: "pipe",
    count: null,
    k: null,
    length_m: length.length_m,
    inside_diameter_mm: length.insideDiameter_m * 1000,
    velocity_ms: length.velocity_ms,
    head_m: length.pipeLoss_m,
    source: `f·L/D·v²/2g, Darcy–Weisbach with Colebrook–White${factor}; bore: ${boreSource}; roughness ${Number((roughness_m * 1000).toPrecision(3))} mm: ${roughnessSource}`,
  };
}

function fittingLine(fitting: WorksheetFitting, { flow_m3s }: WorksheetLength): SizingHeadLine {
  const { label, count, k, insideDiameter_m, loss_m, source, listed } = fitting;
  return {
    what: `${count} × ${label}`,
    kind: "fitting",
    count,
    k,
    length_m: null,
    inside_diameter_mm: insideDiameter_m * 1000,
    velocity_ms: pipeVelocity_ms(flow_m3s, insideDiameter_m),
    head_m: loss_m,
    source: listed ? `K·v²/2g; ${source}` : `K·v²/2g, not listed but always there; ${source}`,
  };
}

/** How much more head a little more flow asks for, m per m³/s. */
function steepness(discharge: DischargeSite, flow_m3s: number, level_m: number): number {
  const step_m3s = Math.max(1e-7, 0.01 * flow_m3s);
  const low_m3s = Math.max(0, flow_m3s - step_m3s);
  const head = (flow: number) => dischargeHead(discharge, flow, level_m).totalDynamicHead_m;
  return (head(flow_m3s + step_m3s) - head(low_m3s)) / (flow_m3s + step_m3s - low_m3s);
}

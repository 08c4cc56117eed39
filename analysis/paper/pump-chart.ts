// The pump's curve against what the pipe asks of it, at the start and at the stop level, with the points where they meet
// and the point that is needed. SVG, for page and paper alike; colours come from the style sheet of either.

import { dischargeHead } from "../hydraulics/discharge-head.ts";
import { meetDischarge } from "../hydraulics/duty-point.ts";
import { pumpCurve } from "../hydraulics/pump-curve.ts";
import type { CurvePoint, DischargeSite } from "../site.ts";
import { quantity, toDisplay, type UnitSystem, unitName } from "../units/display.ts";
import { chartFrame, linePath, n, type Size, upTo } from "./chart-frame.ts";
import { type Html, html } from "./html.ts";

export interface PumpChart {
  readonly size: Size;
  readonly units: UnitSystem;
  readonly discharge: DischargeSite;
  readonly startLevel_m: number | null;
  readonly stopLevel_m: number;
  /** The first is the one that is judged; others are drawn thin. */
  readonly pumps: readonly { readonly name: string; readonly curve: readonly CurvePoint[] }[];
  readonly required: CurvePoint | null;
  readonly temperature_c?: number;
}

/** @throws {RangeError} as `pumpCurve` and `dischargeHead` */
export function pumpChart(chart: PumpChart): Html {
  const { units, size, required, pumps } = chart;
  const largest_m3s = Math.max(
    ...pumps.flatMap(({ curve }) => curve.map((point) => point.flow_m3s)),
    1.15 * (required?.flow_m3s ?? 0),
  );
  const highest_m = Math.max(
    ...pumps.flatMap(({ curve }) => curve.map((point) => point.head_m)),
    1.15 * (required?.head_m ?? 0),
    1.3 * staticHead_m(chart),
  );
  const flow = (flow_m3s: number) => toDisplay(flow_m3s, "flow", units);
  const head = (head_m: number) => toDisplay(head_m, "head", units);
  const frame = chartFrame(
    size,
    { ...upTo(flow(largest_m3s)), name: `Flow, ${unitName("flow", units)}` },
    { ...upTo(head(highest_m)), name: `Head, ${unitName("head", units)}` },
  );
  const at = (point: CurvePoint): [number, number] => [frame.x(flow(point.flow_m3s)), frame.y(head(point.head_m))];
  const path = (points: readonly CurvePoint[]) =>
    linePath(points.map((point) => (point.head_m > highest_m * 1.06 ? null : at(point))));
  const levels = levelsOf(chart);
  const end_m3s = largest_m3s * 1.06;

  return html`<svg class="chart pump-chart" viewBox="0 0 ${size.width} ${size.height}" role="img" aria-label="${inWords(chart)}">
${frame.axes}
${levels.map(({ level_m, kind }) => html`<path class="pipe-line pipe-${kind}" d="${path(pipePoints(chart, level_m, end_m3s))}"/>`)}
${pumps.map(({ curve }, i) => html`<path class="pump-line ${i === 0 ? "pump-own" : "pump-other"}" d="${path(curvePoints(curve))}"/>`)}
${pumps.slice(0, 1).map(({ curve }) => curve.map((point) => html`<circle class="curve-point" cx="${n(at(point)[0])}" cy="${n(at(point)[1])}" r="2.5"/>`))}
${pumps.map(({ curve }, i) => levels.map(({ level_m, kind }) => dutyMark(chart, curve, level_m, kind, i === 0, at)))}
${required && requiredMark(at(required), frame)}
</svg>`;
}

interface Level {
  readonly level_m: number;
  readonly kind: "start" | "stop";
}

function levelsOf({ startLevel_m, stopLevel_m }: PumpChart): readonly Level[] {
  const stop: Level = { level_m: stopLevel_m, kind: "stop" };
  return startLevel_m === null ? [stop] : [{ level_m: startLevel_m, kind: "start" }, stop];
}

const steps = 60;

function pipePoints({ discharge, temperature_c }: PumpChart, level_m: number, end_m3s: number): CurvePoint[] {
  return Array.from({ length: steps + 1 }, (_, i) => {
    const flow_m3s = (end_m3s * i) / steps;
    return { flow_m3s, head_m: dischargeHead(discharge, flow_m3s, level_m, temperature_c).totalDynamicHead_m };
  });
}

function curvePoints(points: readonly CurvePoint[]): CurvePoint[] {
  const curve = pumpCurve(points);
  const wide_m3s = curve.maximumFlow_m3s - curve.minimumFlow_m3s;
  return Array.from({ length: steps + 1 }, (_, i) => {
    const flow_m3s = Math.min(curve.maximumFlow_m3s, curve.minimumFlow_m3s + (wide_m3s * i) / steps);
    return { flow_m3s, head_m: curve.head_m(flow_m3s) ?? 0 };
  });
}

function dutyMark(
  { discharge, temperature_c }: PumpChart,
  points: readonly CurvePoint[],
  level_m: number,
  kind: Level["kind"],
  own: boolean,
  at: (point: CurvePoint) => [number, number],
): Html | null {
  const { dutyPoint } = meetDischarge(pumpCurve(points), discharge, level_m, temperature_c);
  if (dutyPoint === null) return null;
  const [x, y] = at(dutyPoint);
  return html`<circle class="duty duty-${kind} ${own ? "" : "duty-other"}" cx="${n(x)}" cy="${n(y)}" r="${own ? 6 : 4}"/>`;
}

/** A cross within its lines to both axes: no colour is needed to find it. */
function requiredMark([x, y]: readonly [number, number], { left, bottom }: { left: number; bottom: number }): Html {
  return html`<g class="required"><path class="required-lines" d="M${n(left)} ${n(y)}H${n(x)}V${n(bottom)}"/><path class="required-mark" d="M${n(x - 6)} ${n(y - 6)}L${n(x + 6)} ${n(y + 6)}M${n(x - 6)} ${n(y + 6)}L${n(x + 6)} ${n(y - 6)}"/></g>`;
}

function staticHead_m({ discharge, stopLevel_m }: PumpChart): number {
  return Math.max(0, discharge.highPoint_m - stopLevel_m);
}

/** What the picture shows, for who does not see it. */
function inWords(chart: PumpChart): string {
  const { units, required, pumps } = chart;
  const duties = pumps.flatMap(({ name, curve }) =>
    levelsOf(chart).map(({ level_m, kind }) => {
      const { dutyPoint } = meetDischarge(pumpCurve(curve), chart.discharge, level_m, chart.temperature_c);
      if (dutyPoint === null) return `${name} has no point with the pipe at the ${kind} level`;
      return `${name} moves ${quantity(dutyPoint.flow_m3s, "flow", units)} at ${quantity(dutyPoint.head_m, "head", units)} at the ${kind} level`;
    }),
  );
  const needed =
    required === null
      ? []
      : [`needed are ${quantity(required.flow_m3s, "flow", units)} at ${quantity(required.head_m, "head", units)}`];
  return `Head against flow: ${[...duties, ...needed].join("; ")}.`;
}

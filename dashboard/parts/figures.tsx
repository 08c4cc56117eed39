// The figures of the moment, each with its unit and, where one is known, the half-width of its 95 % interval.

import { useSignalEffect } from "@preact/signals";
import type { ComponentChildren } from "preact";
import type { FlowEstimate } from "../../analysis/cycles/cycle.ts";
import type { ReportPumpCurve } from "../../analysis/report/report.ts";
import type { LiveState } from "../../daemon/server/api-types.ts";
import { figure, fixed, flowFigure, quantity, shortFlow, unitName } from "../format.ts";
import { site } from "../live.ts";
import { units } from "../preferences.ts";
import { onCurveWords } from "../pump-on-curve.ts";
import { floatTrips, keepWorstMargin, pumpOnCurve, worstMargin } from "../worst-margin.ts";

export function Figures({ state }: { state: LiveState }) {
  const { situation } = state;
  const system = units.value;
  const basin = site.value?.site.basin;
  const limit = site.value?.site.pump?.maxStartsPerHour ?? null;
  const overflow_m = basin?.overflowLevel_m ?? null;
  const { level_m, levelRate_ms } = situation;
  const room_m = level_m === null || overflow_m === null ? null : Math.max(0, overflow_m - level_m);
  const margin = marginOf(situation.pumpRate, situation.inflow);
  useSignalEffect(keepWorstMargin);

  return (
    <dl class="figures">
      <Figure label="Water level" value={figure(level_m, "level", system)} unit={unitName("level", system)}>
        {levelRate_ms === null ? "no trend yet" : trendWords(levelRate_ms)}
        <OffTheSiteFile />
      </Figure>
      <FlowBox label="Comes in" estimate={situation.inflow} unknown="after the first rest" />
      <FlowBox label="The pump moves" estimate={situation.pumpRate} unknown="after the first run">
        <OnCurve pump={pumpOnCurve.value} />
      </FlowBox>
      <Figure label="Margin now" value={margin === null ? "–" : times(margin)} unit="×">
        {marginWords(margin, worstMargin.value)}
      </Figure>
      <Figure label="Starts in the last hour" value={String(situation.startsInLastHour)} unit="">
        {situation.pumpsRunning != null ? "either pump" : limit === null ? "no limit given" : `of at most ${limit}`}
      </Figure>
      <Figure label="Room to the floor" value={figure(room_m, "level", system)} unit={unitName("level", system)}>
        {overflow_m === null ? "floor level not given" : `floor at ${quantity(overflow_m, "level", system)}`}
      </Figure>
    </dl>
  );
}

interface FlowBoxProps {
  label: string;
  estimate: FlowEstimate | null;
  unknown: string;
  children?: ComponentChildren;
}

function FlowBox({ label, estimate, unknown, children }: FlowBoxProps) {
  const system = units.value;
  const shown = estimate && flowFigure(estimate, system);
  return (
    <Figure label={label} value={estimate ? shortFlow(estimate, system) : "–"} unit={unitName("flow", system)}>
      {estimate?.unseenCourse === "least" ? "at least so much" : shown ? `± ${shown.u95} when last measured` : unknown}
      {children}
    </Figure>
  );
}

/** Only where the pump starts or stops at other levels than the site file states; what to check on pointing at it. */
function OffTheSiteFile() {
  const message = floatTrips.value?.message ?? null;
  return message === null ? null : <span title={message}>; pump's levels are not the site file's</span>;
}

/** Only where it is another than its published curve gives; all that is known of it on pointing at it. */
function OnCurve({ pump }: { pump: ReportPumpCurve | null }) {
  const words = onCurveWords(pump);
  return words === null ? null : <span title={pump?.message}>; {words}</span>;
}

function Figure(props: { label: string; value: string; unit: string; children: ComponentChildren }) {
  return (
    <div>
      <dt>{props.label}</dt>
      <dd>
        <b>{props.value}</b> {props.value !== "–" && props.unit}
        <small>{props.children}</small>
      </dd>
    </div>
  );
}

function marginOf(pump: FlowEstimate | null, inflow: FlowEstimate | null): number | null {
  if (!pump || !inflow || !(inflow.flow_m3s > 0)) return null;
  return pump.flow_m3s / inflow.flow_m3s;
}

/** In a peak that is not over yet, the record says less than the moment does. */
function marginWords(margin: number | null, worst: number | null): string {
  if (worst === null || (margin !== null && margin < worst)) return "the pump against the inflow";
  return `worst 10 min so far: ${times(worst)} ×`;
}

/** Near 1 a hundredth decides whether the pump is large enough. */
function times(margin: number): string {
  return fixed(margin, margin < 1.95 ? 2 : margin < 9.95 ? 1 : 0);
}

function trendWords(rate_ms: number): string {
  const system = units.value;
  const perMinute = figure(Math.abs(rate_ms), "levelRate", system);
  if (Number(perMinute) === 0) return "steady";
  return `${rate_ms > 0 ? "rising" : "falling"} ${perMinute} ${unitName("levelRate", system)}`;
}

// What works in the basin: the drain that fills it, the pump with its valve and pipe, the floats.

import type { Situation } from "../../analysis/analyzer.ts";
import type { BasinSite } from "../../analysis/site.ts";
import { shortFlow, unitName } from "../format.ts";
import { units } from "../preferences.ts";
import { whichRunNow } from "../pump-words.ts";
import { type SectionLayout, sectionBox } from "./section-layout.ts";

/** The drain that brings the water, with what comes in. */
export function Inlet({ layout, situation }: { layout: SectionLayout; situation: Situation }) {
  const y = layout.floorY + Math.min(46, (layout.bottomY - layout.floorY) * 0.2);
  const runs = situation.inflow !== null && situation.inflow.flow_m3s > 0;
  return (
    <g>
      <rect class="pipe" x="-4" y={y - 9} width={layout.left + 4} height="18" />
      {runs && <path class="stream stream-in" d={`M2 ${y + 4}H${layout.left + 6}q6 0 6 8V${y + 26}`} />}
      <text class="flow-in" x="6" y={y + 28}>
        {situation.inflow ? shortFlow(situation.inflow, units.value) : "–"}
      </text>
      <text class="small" x="6" y={y + 42}>
        {unitName("flow", units.value)} in
      </text>
    </g>
  );
}

/** Pump, riser, check valve and the pipe out, with what the pump moves. */
export function Discharge(props: { layout: SectionLayout; situation: Situation; riserX: number }) {
  const { layout, situation, riserX } = props;
  const { bottomY, floorY } = layout;
  const running = situation.pumpRunning === true;
  const half = Math.min(30, (layout.right - layout.left) * 0.19);
  const pumpTop = bottomY - Math.min(62, (bottomY - floorY) * 0.34);
  const outY = 24;
  const valveY = (floorY + outY) / 2 + 6;
  const route = `M${riserX} ${pumpTop}V${outY + 12}q0-12 12-12H${sectionBox.width}`;
  return (
    <g class={running ? "pump-runs" : "pump-rests"}>
      <path class="pipe-wall" d={route} />
      <path class="pipe-bore" d={route} />
      {running && <path class="stream stream-out" d={route} />}
      <path class="valve" d={`M${riserX - 10} ${valveY - 9}h20v18h-20z`} />
      <path class="valve-flap" d={running ? `M${riserX - 7} ${valveY + 4}v-10` : `M${riserX - 7} ${valveY + 4}h14`} />
      <path
        class="pump"
        d={`M${riserX - half} ${bottomY - 5}v-12q0-10 8-12V${pumpTop + 12}q0-12 12-12h${2 * half - 40}q12 0 12 12v${
          bottomY - 29 - pumpTop - 12
        }q8 2 8 12v12z`}
      />
      <text class="pump-word" x={riserX} y={bottomY - 34} text-anchor="middle">
        {situation.pumpRunning === null ? "?" : running ? (whichRunNow(situation) ?? "ON") : "OFF"}
      </text>
      <text class="flow-out" x={riserX + 20} y={outY + 25}>
        {situation.pumpRate ? shortFlow(situation.pumpRate, units.value) : "–"}{" "}
        <tspan class="small">{unitName("flow", units.value)}</tspan>
      </text>
      <text class="small" x={riserX + 20} y={outY + 40}>
        {running ? "out" : "out when it runs"}
      </text>
    </g>
  );
}

/** The pump's float rides between stop and start; the high-water float hangs at its level and tips when lifted. */
export function Floats(props: { layout: SectionLayout; basin: BasinSite; situation: Situation; riserX: number }) {
  const { layout, basin, situation, riserX } = props;
  const { startLevel_m, stopLevel_m, highLevel_m } = basin;
  const x = riserX - Math.min(46, (layout.right - layout.left) * 0.3);
  const ride =
    startLevel_m === null || stopLevel_m === null || situation.level_m === null
      ? null
      : Math.min(Math.max(situation.level_m, stopLevel_m), startLevel_m);
  return (
    <>
      {ride !== null && startLevel_m !== null && stopLevel_m !== null && (
        <g class={`float ${situation.floatOn ? "float-lifted" : ""}`}>
          <path
            class="tether"
            d={`M${riserX - 5} ${layout.y((startLevel_m + stopLevel_m) / 2)}L${x} ${layout.y(ride)}`}
          />
          <ellipse cx={x} cy={layout.y(ride)} rx="11" ry="7" />
        </g>
      )}
      {highLevel_m !== null && situation.highFloat !== null && (
        <g class={`float high-float ${situation.highFloat ? "float-lifted" : ""}`}>
          <path
            class="tether"
            d={`M${layout.right - 3} ${layout.y(highLevel_m) - 18}l-13 ${situation.highFloat ? 14 : 24}`}
          />
          <ellipse cx={layout.right - 17} cy={layout.y(highLevel_m) + (situation.highFloat ? -3 : 7)} rx="9" ry="6" />
        </g>
      )}
    </>
  );
}

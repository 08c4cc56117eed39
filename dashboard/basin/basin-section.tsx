// The basin as a cross-section to scale: live water, the levels that matter, pump, floats, check valve, pipes.

import type { Situation } from "../../analysis/analyzer.ts";
import type { BasinSite } from "../../analysis/site.ts";
import { flowFigure, quantity, unitName } from "../format.ts";
import { units } from "../preferences.ts";
import { type MarkName, type SectionLayout, sectionLayout } from "./section-layout.ts";

const box = { width: 380, height: 400 };

const markWord: Readonly<Record<MarkName, string>> = {
  floor: "floor",
  high: "high water",
  start: "pump starts",
  stop: "pump stops",
};

interface Props {
  readonly basin: BasinSite;
  readonly situation: Situation;
  /** What is drawn is no longer sure to be so. */
  readonly stale: boolean;
}

export function BasinSection({ basin, situation, stale }: Props) {
  const layout = sectionLayout(basin, box);
  const riserX = layout.centreX + (layout.right - layout.centreX) * 0.5;
  return (
    <svg
      class={`basin ${stale ? "basin-stale" : ""}`}
      viewBox={`0 0 ${box.width} ${box.height}`}
      role="img"
      aria-label={inWords(situation)}
    >
      <Ground layout={layout} />
      <Water layout={layout} level_m={situation.level_m} />
      <Inlet layout={layout} situation={situation} />
      <Discharge layout={layout} situation={situation} riserX={riserX} />
      <Walls layout={layout} />
      <Marks layout={layout} situation={situation} />
      <Floats layout={layout} basin={basin} situation={situation} riserX={riserX} />
      <LevelTag layout={layout} level_m={situation.level_m} />
    </svg>
  );
}

function inWords({ level_m, pumpRunning }: Situation): string {
  const level = level_m === null ? "water level not known" : `water at ${quantity(level_m, "level", units.value)}`;
  return `Cross-section of the basin: ${level}; ${pumpWord(pumpRunning)}.`;
}

function pumpWord(running: boolean | null): string {
  if (running === null) return "pump not known";
  return running ? "pump runs" : "pump rests";
}

function path(points: readonly { x: number; y: number }[]): string {
  return points.map(({ x, y }, i) => `${i ? "L" : "M"}${x.toFixed(1)} ${y.toFixed(1)}`).join("");
}

function Ground({ layout }: { layout: SectionLayout }) {
  const { left, right, floorY } = layout;
  return (
    <>
      <clipPath id="inside">
        <path d={`${path(layout.outline)}Z`} />
      </clipPath>
      <rect class="earth" x="0" y={floorY} width={box.width} height={box.height - floorY} />
      <path class="inside" d={`${path(layout.outline)}Z`} />
      <rect class="slab" x="0" y={floorY} width={left} height="9" />
      <rect class="slab" x={right} y={floorY} width={box.width - right} height="9" />
    </>
  );
}

function Water({ layout, level_m }: { layout: SectionLayout; level_m: number | null }) {
  if (level_m === null) return null;
  const y = Math.max(layout.floorY - 12, layout.y(level_m));
  const depth = Math.max(0, layout.bottomY - y);
  return (
    <>
      <g clip-path="url(#inside)">
        <g class="water" style={{ transform: `translateY(${y.toFixed(1)}px)` }}>
          <rect x="0" y="0" width={box.width} height={depth + 40} />
          <path class="surface" d={`M0 0H${box.width}`} />
        </g>
      </g>
      {y < layout.floorY && <rect class="flood" x="0" y={y} width={box.width} height={layout.floorY - y} />}
    </>
  );
}

function Walls({ layout }: { layout: SectionLayout }) {
  return <path class="wall" d={path(layout.outline)} />;
}

/** The drain that brings the water, with what comes in. */
function Inlet({ layout, situation }: { layout: SectionLayout; situation: Situation }) {
  const y = layout.floorY + Math.min(46, (layout.bottomY - layout.floorY) * 0.2);
  const runs = situation.inflow !== null && situation.inflow.flow_m3s > 0;
  return (
    <g>
      <rect class="pipe" x="-4" y={y - 9} width={layout.left + 4} height="18" />
      {runs && <path class="stream stream-in" d={`M2 ${y + 4}H${layout.left + 6}q6 0 6 8V${y + 26}`} />}
      <text class="flow-in" x="6" y={y + 28}>
        {situation.inflow ? flowFigure(situation.inflow, units.value).figure : "–"}
      </text>
      <text class="small" x="6" y={y + 42}>
        {unitName("flow", units.value)} in
      </text>
    </g>
  );
}

/** Pump, riser, check valve and the pipe out, with what the pump moves. */
function Discharge(props: { layout: SectionLayout; situation: Situation; riserX: number }) {
  const { layout, situation, riserX } = props;
  const { bottomY, floorY } = layout;
  const running = situation.pumpRunning === true;
  const half = Math.min(30, (layout.right - layout.left) * 0.19);
  const pumpTop = bottomY - Math.min(62, (bottomY - floorY) * 0.34);
  const outY = 24;
  const valveY = (floorY + outY) / 2 + 6;
  const route = `M${riserX} ${pumpTop}V${outY + 12}q0-12 12-12H${box.width}`;
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
        {situation.pumpRunning === null ? "?" : running ? "ON" : "OFF"}
      </text>
      <text class="flow-out" x={riserX + 20} y={outY + 25}>
        {situation.pumpRate ? flowFigure(situation.pumpRate, units.value).figure : "–"}{" "}
        <tspan class="small">{unitName("flow", units.value)}</tspan>
      </text>
      <text class="small" x={riserX + 20} y={outY + 40}>
        {running ? "out" : "out when it runs"}
      </text>
    </g>
  );
}

function Marks({ layout, situation }: { layout: SectionLayout; situation: Situation }) {
  const labelX = layout.right + 22;
  return (
    <g>
      {layout.marks.map((mark) => {
        const reached = situation.level_m !== null && situation.level_m >= mark.level_m;
        return (
          <g key={mark.name} class={`level-mark level-${mark.name} ${reached ? "reached" : ""}`}>
            {mark.name !== "floor" && <path class="rule" d={`M${layout.left} ${mark.y}H${layout.right}`} />}
            <path class="lead" d={`M${layout.right + 4} ${mark.y}L${labelX - 4} ${mark.labelY}`} />
            <text x={labelX} y={mark.labelY - 2}>
              {markWord[mark.name]}
            </text>
            <text class="value" x={labelX} y={mark.labelY + 13}>
              {quantity(mark.level_m, "level", units.value)}
            </text>
          </g>
        );
      })}
    </g>
  );
}

/** The pump's float rides between stop and start; the high-water float hangs at its level and tips when lifted. */
function Floats(props: { layout: SectionLayout; basin: BasinSite; situation: Situation; riserX: number }) {
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

function LevelTag({ layout, level_m }: { layout: SectionLayout; level_m: number | null }) {
  const x = layout.left + 10;
  if (level_m === null) {
    return (
      <text class="level-tag" x={x} y={(layout.floorY + layout.bottomY) / 2}>
        level not known
      </text>
    );
  }
  const surface = layout.y(level_m);
  const y = Math.min(layout.bottomY - 8, surface + 22);
  return (
    <text class="level-tag" x={x} y={y}>
      {quantity(level_m, "level", units.value)}
    </text>
  );
}

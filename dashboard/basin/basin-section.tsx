// The basin as a cross-section to scale: live water, the levels that matter, pump, floats, check valve, pipes.

import type { Situation } from "../../analysis/analyzer.ts";
import type { BasinSite } from "../../analysis/site.ts";
import { quantity } from "../format.ts";
import { units } from "../preferences.ts";
import { sectionBox as box, type MarkName, type SectionLayout, sectionLayout } from "./section-layout.ts";
import { Discharge, Floats, Inlet } from "./works.tsx";

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

// The water level that candidates would have had over a stretch of the record, one line each, with the levels that matter.
// SVG, for page and paper alike.

import { quantity, toDisplay, type UnitSystem, unitName } from "../units/display.ts";
import { chartFrame, linePath, n, type Size, upTo } from "./chart-frame.ts";
import { dayTicks } from "./day-ticks.ts";
import { type Html, html } from "./html.ts";

/** In order of time. */
export type Course = readonly (readonly [time_s: number, level_m: number])[];

export interface LevelChart {
  readonly size: Size;
  readonly units: UnitSystem;
  readonly timezone: string;
  readonly from_s: number;
  readonly to_s: number;
  readonly courses: readonly { readonly name: string; readonly course: Course }[];
  readonly marks: readonly { readonly level_m: number; readonly word: string; readonly kind: "floor" | "high" }[];
}

export function levelChart(chart: LevelChart): Html {
  const { size, units, timezone, from_s, to_s, courses, marks } = chart;
  const level = (level_m: number) => toDisplay(level_m, "level", units);
  const highest_m = Math.max(
    0.1,
    ...marks.map(({ level_m }) => level_m),
    ...courses.flatMap(({ course }) => course.map((point) => point[1])),
  );
  const frame = chartFrame(
    size,
    { from: from_s, to: to_s, name: "", ticks: dayTicks(from_s, to_s, timezone, size.width) },
    { ...upTo(level(highest_m)), name: `Water level, ${unitName("level", units)}` },
  );
  const columns = Math.max(2, Math.round(size.width / 1.5));
  const line = (course: Course) =>
    linePath(
      thinned(course, from_s, to_s, columns).map(([time_s, level_m]) => [frame.x(time_s), frame.y(level(level_m))]),
    );
  return html`<svg class="chart level-chart" viewBox="0 0 ${size.width} ${size.height}" role="img" aria-label="${inWords(chart)}">
${frame.axes}
${marks.map(({ level_m, word, kind }) => html`<path class="mark-line mark-${kind}" d="M${n(frame.left)} ${n(frame.y(level(level_m)))}H${n(frame.right)}"/><text class="note" x="${n(frame.right - 4)}" y="${n(frame.y(level(level_m)) - 4)}" text-anchor="end">${word}</text>`)}
${courses.map(({ course }, i) => html`<path class="course course-${i + 1}" d="${line(course)}"/>`)}
</svg>`;
}

/** Of each column of the picture the first, lowest, highest and last point: no peak is lost. */
export function thinned(course: Course, from_s: number, to_s: number, columns: number): Course {
  const kept: (readonly [number, number])[] = [];
  let column = Number.NaN;
  let inColumn: (readonly [number, number])[] = [];
  const flush = () => {
    if (inColumn.length <= 4) kept.push(...inColumn);
    else kept.push(...outline(inColumn));
    inColumn = [];
  };
  for (const point of course) {
    const its = Math.floor(((point[0] - from_s) / (to_s - from_s)) * columns);
    if (its !== column) flush();
    column = its;
    inColumn.push(point);
  }
  flush();
  return kept;
}

function outline(points: Course): Course {
  const by = (sign: 1 | -1) =>
    points.reduce((best, point, i) => (sign * (point[1] - (points[best]?.[1] ?? 0)) > 0 ? i : best), 0);
  const chosen = [...new Set([0, by(1), by(-1), points.length - 1])].sort((a, b) => a - b);
  return chosen.flatMap((i) => points.slice(i, i + 1));
}

function inWords({ courses, units }: LevelChart): string {
  const highest = (course: Course) => course.reduce((most, point) => Math.max(most, point[1]), 0);
  const each = courses.map(({ name, course }) => `${name} reaches ${quantity(highest(course), "level", units)}`);
  return `Water level through the storm: ${each.join("; ")}.`;
}

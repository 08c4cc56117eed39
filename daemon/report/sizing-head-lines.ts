// The head at the required flow in words: line by line, each with its sum.

import { velocityHead_m } from "../../analysis/hydraulics/velocity-head.ts";
import type { SizingHead, SizingHeadLine } from "../../analysis/sizing/answer/lift.ts";
import type { SizingAnswer } from "../../analysis/sizing/sizing-answer.ts";
import { fromSi, toSi } from "../../analysis/units/unit.ts";
import { figures, type Words } from "../../analysis/units/words.ts";
import { wordsOf } from "./sizing-lines.ts";

export function headLines(answer: SizingAnswer): string[] {
  const { head } = answer;
  if (head === null) return [];
  const say = wordsOf(answer);
  const rows = head.lines.map((line) => [line.what, reckoning(line, say), inHead(line.head_m, say)] as const);
  // As the lines are shown, so that the sum can be done again from them.
  const total = head.lines.reduce((sum, line) => sum + thousandths(line.head_m, say), 0) / 1000;
  const sum = ["total dynamic head", "", total.toFixed(2).padStart(7)] as const;
  const wide = [0, 1].map((column) => Math.max(...[...rows, sum].map((row) => row[column]?.length ?? 0)));
  const row = ([what, reckoned, result]: readonly [string, string, string]) =>
    `${what.padEnd(wide[0] ?? 0)}  ${reckoned.padEnd(wide[1] ?? 0)}  ${result}`;
  const within =
    head.u95_total_m === null ? "" : ` ± ${fromSi(head.u95_total_m, say.headUnit).toFixed(2)} ${say.headUnit}`;
  return [
    `at ${say.flow(toSi(head.lpm, "L/min"))}, water at ${say.level(head.level_mm / 1000)}, the stop level:`,
    ...velocityHeads(head.lines, say),
    ...rows.map(row),
    `${row(sum)}  ${say.headUnit}${within}`,
    ...(head.hazen_williams === null ? [] : [comparison(head, head.hazen_williams, say)]),
    "where the figures come from:",
    ...new Set(head.lines.map(({ source }) => `  ${source}`)),
    ...(head.hazen_williams === null ? [] : [`  Hazen–Williams: ${head.hazen_williams.source}`]),
  ];
}

function comparison(
  { friction_m }: SizingHead,
  { c, friction_m: other_m }: NonNullable<SizingHead["hazen_williams"]>,
  say: Words,
): string {
  const [ours, theirs] = [friction_m, other_m].map((head_m) => fromSi(head_m, say.headUnit).toFixed(2));
  return `friction in all ${ours} ${say.headUnit}; by Hazen–Williams with C ${c.join(" and ")} instead: ${theirs} ${say.headUnit}`;
}

/** Of each bore, once: the velocity head that the lines below count in. */
function velocityHeads(lines: readonly SizingHeadLine[], say: Words): string[] {
  const bores = new Map(lines.map((line) => [line.inside_diameter_mm, line.velocity_ms]));
  return [...bores].flatMap(([bore_mm, velocity_ms]) => {
    if (bore_mm === null || velocity_ms === null) return [];
    const head = small(velocityHead_m(velocity_ms), say);
    return [
      `in ${say.level(bore_mm / 1000)} inside: velocity ${say.velocity(velocity_ms)}, velocity head v²/2g ${head}`,
    ];
  });
}

function reckoning(line: SizingHeadLine, say: Words): string {
  const { kind, count, k, velocity_ms, inside_diameter_mm, length_m, head_m } = line;
  if (velocity_ms === null || !(velocity_ms > 0) || inside_diameter_mm === null) return "";
  const velocityHead = velocityHead_m(velocity_ms);
  if (kind === "fitting") return `${count} × K ${figures(k ?? 0)} × ${small(velocityHead, say)}`;
  if (length_m === null) return "";
  const factor = (head_m / velocityHead) * (inside_diameter_mm / 1000 / length_m);
  return `f ${factor.toPrecision(4)} × ${say.head(length_m)} ÷ ${small(inside_diameter_mm / 1000, say)} × ${small(velocityHead, say)}`;
}

/** Heads of an inch and less want more figures. */
function small(head_m: number, say: Words): string {
  return `${Number(fromSi(head_m, say.headUnit).toPrecision(4))} ${say.headUnit}`;
}

function inHead(head_m: number, say: Words): string {
  return `${(thousandths(head_m, say) / 1000).toFixed(3).padStart(8)} ${say.headUnit}`;
}

function thousandths(head_m: number, say: Words): number {
  return Math.round(1000 * fromSi(head_m, say.headUnit));
}

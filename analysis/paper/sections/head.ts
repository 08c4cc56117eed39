// The head at the required flow, line by line, so that each can be reckoned again: lift, lengths of pipe, fittings. What is
// printed adds up from what is printed: each line is rounded, and the totals are the sums of the rounded lines.

import { gravity_ms2, velocityHead_m } from "../../hydraulics/velocity-head.ts";
import type { SizingHead, SizingHeadLine } from "../../sizing/answer/lift.ts";
import { fixed, toDisplay } from "../../units/display.ts";
import { fromSi, toSi } from "../../units/unit.ts";
import { type Html, html } from "../html.ts";
import type { ReportInput } from "../report-input.ts";
import type { PaperWords } from "../words.ts";
import { paragraph, section } from "./steps.ts";

export function headSection(input: ReportInput, words: PaperWords): Html | null {
  const { head } = input.answer;
  if (head === null) return null;
  const bores = [...new Set(head.lines.map((line) => line.inside_diameter_mm))].filter((bore) => bore !== null);
  return section(
    "The head to overcome, line by line",
    paragraph(
      `At ${words.lpm(head.lpm)}, water at the stop level (${words.mm(head.level_mm)}): the greatest lift of a cycle.`,
    ),
    html`${bores.map((bore) => paragraph(velocityWords(head, bore, words)))}`,
    headTable(input, head, words),
    paragraph(otherFormula(head, words)),
    paragraph(
      head.static_at_start_m === null
        ? null
        : `With the water at the start level the lift is ${words.head(head.static_at_start_m, decimals)}, and the head that much less.`,
    ),
  );
}

/** How flow and bore make the velocity head that every loss below is counted in. */
function velocityWords(head: SizingHead, bore_mm: number, words: PaperWords): string | null {
  const velocity_ms = head.lines.find((line) => line.inside_diameter_mm === bore_mm)?.velocity_ms ?? null;
  if (velocity_ms === null) return null;
  const us = words.units === "us";
  const unit = words.unit("velocity");
  // v = Q ÷ (π/4 · D²): in ft/s from gpm and inches, in m/s from L/min and millimetres.
  const speed = us
    ? `0.4085 × ${digits(fromSi(toSi(head.lpm, "L/min"), "gpm"), 4)} gpm ÷ (${words.bore(bore_mm)})²`
    : `21.22 × ${digits(head.lpm, 4)} L/min ÷ (${words.bore(bore_mm)})²`;
  const velocity = digits(toDisplay(velocity_ms, "velocity", words.units), 4);
  const twoG = us ? fixed(2 * fromSi(gravity_ms2, "ft"), 2) : fixed(2 * gravity_ms2, 2);
  return `Inside diameter ${words.bore(bore_mm)}: velocity ${speed} = ${velocity} ${unit}; velocity head v² ÷ ${twoG} = ${velocityHeadWords(velocity_ms, words)}.`;
}

function headTable(input: ReportInput, head: SizingHead, words: PaperWords): Html {
  const sources = [...new Set(head.lines.map((line) => line.source))];
  const inUnit = (head_m: number) => toDisplay(head_m, "head", words.units);
  const printed = (value: number) => `${fixed(value, decimals)} ${words.unit("head")}`;
  const rounded = (head_m: number) => Number(inUnit(head_m).toFixed(decimals));
  const lift = liftOf(input, head, rounded);
  const shown = head.lines.map((line) => ({
    line,
    value: line.kind === "lift" && lift !== null ? lift.head : rounded(line.head_m),
  }));
  const sum = (isLift: boolean) =>
    shown.filter(({ line }) => (line.kind === "lift") === isLift).reduce((so, { value }) => so + value, 0);
  const [still, friction] = [sum(true), sum(false)];
  const u95 = head.u95_total_m === null ? null : inUnit(head.u95_total_m);
  const range = u95 === null || !(u95 >= 0.005) ? "" : ` ± ${fixed(u95, 2)} ${words.unit("head")}`;
  const sumOf = ({ kind, ...line }: SizingHeadLine) =>
    kind === "lift" && lift !== null
      ? `${printed(lift.highPoint)} − ${printed(lift.level)}`
      : reckoning({ kind, ...line }, words);
  return html`<table class="head-sum"><thead><tr><th scope="col">Line</th><th scope="col">Reckoned as</th><th scope="col" class="figure">Head</th></tr></thead>
<tbody>${shown.map(({ line, value }) => html`<tr><th scope="row">${line.what}</th><td>${sumOf(line)}<sup>${sources.indexOf(line.source) + 1}</sup></td><td class="figure">${printed(value)}</td></tr>`)}</tbody>
<tbody class="sum"><tr><th scope="row">Static head</th><td>the lift above</td><td class="figure">${printed(still)}</td></tr>
<tr><th scope="row">Friction head</th><td>pipe and fittings together</td><td class="figure">${printed(friction)}</td></tr>
<tr><th scope="row">Total dynamic head</th><td>${printed(still)} + ${printed(friction)}${range === "" ? "" : "; ± from that of the flow and of the K"}</td><td class="figure"><b>${printed(still + friction)}</b>${range}</td></tr></tbody></table><p class="sources"><small>${sources.map((source, i) => html`<sup>${i + 1}</sup> ${source}. `)}</small></p>`;
}

/** Of feet and of metres: so fine that the smallest fitting is a figure. */
const decimals = 3;

/** The lift from the levels as they are printed; null where the high point does not stand above the water. */
function liftOf({ site }: ReportInput, head: SizingHead, rounded: (head_m: number) => number) {
  if (site.discharge === null) return null;
  const highPoint = rounded(site.discharge.highPoint_m);
  const level = rounded(toSi(head.level_mm, "mm"));
  return highPoint > level ? { highPoint, level, head: highPoint - level } : null;
}

function reckoning(line: SizingHeadLine, words: PaperWords): string | null {
  const { velocity_ms, head_m, k, count, length_m, inside_diameter_mm } = line;
  if (velocity_ms === null || !(velocity_ms > 0)) return null;
  const velocityHead = velocityHeadWords(velocity_ms, words);
  if (line.kind === "fitting" && k !== null) {
    return `${count ?? 1} × K ${Number(k.toPrecision(4))} × ${velocityHead}`;
  }
  if (line.kind !== "pipe" || length_m === null || inside_diameter_mm === null) return null;
  // The friction factor is the one that the line was reckoned with.
  const factor = (head_m / velocityHead_m(velocity_ms)) * (toSi(inside_diameter_mm, "mm") / length_m);
  const bore = digits(toDisplay(toSi(inside_diameter_mm, "mm"), "head", words.units), 4);
  const long = Number(toDisplay(length_m, "length", words.units).toFixed(2));
  return `f ${digits(factor, 4)} × ${long} ${words.unit("length")} ÷ ${bore} ${words.unit("head")} × ${velocityHead}`;
}

/** A velocity head to four figures, so that what is multiplied by it comes out right. */
function velocityHeadWords(velocity_ms: number, words: PaperWords): string {
  return `${digits(toDisplay(velocityHead_m(velocity_ms), "head", words.units), 4)} ${words.unit("head")}`;
}

/** So many figures that count, written out. */
function digits(value: number, count: number): string {
  if (value === 0) return "0";
  return fixed(value, Math.min(8, Math.max(0, count - 1 - Math.floor(Math.log10(Math.abs(value))))));
}

/** The same by the formula that many codes and tables go by. */
function otherFormula({ hazen_williams: other }: SizingHead, words: PaperWords): string | null {
  if (other === null) return null;
  return `To compare, by Hazen and Williams with C ${other.c.join(" and ")}: friction ${words.head(other.friction_m, decimals)}, total ${words.head(other.total_m, decimals)} (${other.source}). The table above, by Darcy and Weisbach, holds here: it knows how warm the water is.`;
}

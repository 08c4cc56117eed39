// The head at the required flow, line by line, so that each can be reckoned again: lift, lengths of pipe, fittings.

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
    paragraph(
      head.static_at_start_m === null
        ? null
        : `With the water at the start level the lift is ${words.head(head.static_at_start_m)}, and the head that much less.`,
    ),
  );
}

/** How flow and bore make the velocity head that every loss below is counted in. */
function velocityWords(head: SizingHead, bore_mm: number, words: PaperWords): string | null {
  const velocity_ms = head.lines.find((line) => line.inside_diameter_mm === bore_mm)?.velocity_ms ?? null;
  if (velocity_ms === null) return null;
  const us = words.units === "us";
  const velocityHead = headWords(velocityHead_m(velocity_ms), words);
  // v = Q ÷ (π/4 · D²): in ft/s from gpm and inches, in m/s from L/min and millimetres.
  const speed = us
    ? `0.4085 × ${fixed(fromSi(toSi(head.lpm, "L/min"), "gpm"), 2)} gpm ÷ (${words.bore(bore_mm)})²`
    : `21.22 × ${fixed(head.lpm, 1)} L/min ÷ (${words.bore(bore_mm)})²`;
  const twoG = us ? fixed(2 * fromSi(gravity_ms2, "ft"), 2) : fixed(2 * gravity_ms2, 2);
  return `Inside diameter ${words.bore(bore_mm)}: velocity ${speed} = ${words.velocity(velocity_ms)}; velocity head v² ÷ ${twoG} = ${velocityHead}.`;
}

function headTable(input: ReportInput, head: SizingHead, words: PaperWords): Html {
  const sources = [...new Set(head.lines.map((line) => line.source))];
  const u95 = head.u95_total_m === null ? "" : ` ± ${words.head(head.u95_total_m)}`;
  return html`<table class="head-sum"><thead><tr><th scope="col">Line</th><th scope="col">Reckoned as</th><th scope="col" class="figure">Head</th></tr></thead>
<tbody>${head.lines.map((line) => html`<tr><th scope="row">${line.what}</th><td>${reckoning(line, words) ?? liftWords(input, head, words)}<sup>${sources.indexOf(line.source) + 1}</sup></td><td class="figure">${words.head(line.head_m)}</td></tr>`)}</tbody>
<tbody class="sum"><tr><th scope="row">Static head</th><td>the lift above</td><td class="figure">${words.head(head.static_m)}</td></tr>
<tr><th scope="row">Friction head</th><td>pipe and fittings together</td><td class="figure">${words.head(head.friction_m)}</td></tr>
<tr><th scope="row">Total dynamic head</th><td>${words.head(head.static_m)} + ${words.head(head.friction_m)}${u95 === "" ? "" : "; ± from that of the flow and of the K"}</td><td class="figure"><b>${words.head(head.total_m)}${u95}</b></td></tr></tbody></table><p class="sources"><small>${sources.map((source, i) => html`<sup>${i + 1}</sup> ${source}. `)}</small></p>`;
}

function liftWords({ site }: ReportInput, head: SizingHead, words: PaperWords): string | null {
  const { discharge } = site;
  if (discharge === null) return null;
  return `${words.head(discharge.highPoint_m)} − ${words.head(toSi(head.level_mm, "mm"))}`;
}

function reckoning(line: SizingHeadLine, words: PaperWords): string | null {
  const { velocity_ms, head_m, k, count, length_m, inside_diameter_mm } = line;
  if (velocity_ms === null || !(velocity_ms > 0)) return null;
  const hv_m = velocityHead_m(velocity_ms);
  const velocityHead = headWords(hv_m, words);
  if (line.kind === "fitting" && k !== null) {
    return `${count ?? 1} × K ${trim(k)} × ${velocityHead}`;
  }
  if (line.kind !== "pipe" || length_m === null || inside_diameter_mm === null) return null;
  // The friction factor is the one that the line was reckoned with.
  const factor = (head_m / hv_m) * (toSi(inside_diameter_mm, "mm") / length_m);
  const bore = fixed(toDisplay(toSi(inside_diameter_mm, "mm"), "head", words.units), words.units === "us" ? 4 : 5);
  return `f ${fixed(factor, 4)} × ${words.length(length_m)} ÷ ${bore} ${words.unit("head")} × ${velocityHead}`;
}

/** A velocity head to three figures, so that what is multiplied by it comes out right. */
function headWords(head_m: number, words: PaperWords): string {
  const value = toDisplay(head_m, "head", words.units);
  return words.head(head_m, Math.min(5, Math.max(3, 2 - Math.floor(Math.log10(value)))));
}

function trim(k: number): string {
  return String(Number(k.toPrecision(3)));
}

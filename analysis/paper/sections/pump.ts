// The pump on the pipe: picture, the points where they meet, the verdict, what to ask a supplier for, other pipe sizes.

import { highestVelocity, keepsSolidsMoving, staysQuiet } from "../../hydraulics/pipe-velocity.ts";
import type { SizingAskFor, SizingDuty, SizingPipe, SizingPump } from "../../sizing/answer/lift.ts";
import { toSi } from "../../units/unit.ts";
import { type Html, html } from "../html.ts";
import { pumpChart } from "../pump-chart.ts";
import type { ReportInput } from "../report-input.ts";
import type { PaperWords } from "../words.ts";
import { capital, figures, list, section, stepsTable } from "./steps.ts";

export function pumpSection(input: ReportInput, words: PaperWords): Html | null {
  const { pump } = input.answer;
  const drawn = chart(input);
  if (pump === null || (drawn === null && pump.steps.length === 0)) return null;
  return section(
    "The pump against the pipe",
    html`<div class="chart-beside">${drawn}<div>${figures([
      duty("at the start level", pump.duty.at_start, words),
      duty("at the stop level", pump.duty.at_stop, words),
      pump.moves === null
        ? null
        : [`moves, ${pump.moves_by === "measured" ? "as measured" : "by its curve"}`, words.flow(pump.moves)],
    ])}${later(pump)}${stepsTable(pump.steps)}</div></div>`,
  );
}

/** What it would move another day. */
function later({ worn, clogged }: SizingPump): Html | null {
  const lines = [worn, clogged].flatMap((each) => (each === null ? [] : [`${capital(each.message)}.`]));
  return lines.length === 0 ? null : list(lines);
}

function duty(where: string, point: SizingDuty | null, words: PaperWords): readonly [string, string] | null {
  if (point === null) return null;
  return [where, `${words.lpm(point.lpm)} at ${words.head(point.head_m)}; ${words.velocity(point.velocity_ms)}`];
}

function chart({ answer, site }: ReportInput): Html | null {
  const { discharge, basin } = site;
  const known = (site.pumps ?? [site.pump]).flatMap((pump, i) =>
    pump?.curve == null ? [] : [{ name: pump.name ?? (i === 0 ? "the pump" : "its standby"), curve: pump.curve }],
  );
  if (discharge === null || known.length === 0 || basin.stopLevel_m === null) return null;
  const { head } = answer;
  const drawn = pumpChart({
    size: { width: 360, height: 230 },
    units: answer.site.display_units,
    discharge,
    startLevel_m: basin.startLevel_m,
    stopLevel_m: basin.stopLevel_m,
    pumps: known,
    required: head === null ? null : { flow_m3s: toSi(head.lpm, "L/min"), head_m: head.total_m },
  });
  return html`<figure>${drawn}<figcaption>Falling: the pump. Rising: what the pipe asks for, solid at the stop level, dashed at the start level. Rings: where they meet. Cross: what is required.</figcaption></figure>`;
}

export function askForSection({ answer }: ReportInput, words: PaperWords): Html | null {
  const { ask_for: ask, pipes } = answer;
  if (ask === null && pipes.length === 0) return null;
  return section("What to ask a supplier for", ask && askWords(ask, words), pipeTable(pipes, words));
}

function askWords(ask: SizingAskFor, words: PaperWords): Html {
  const sure =
    ask.to_be_sure === null ? null : `To be sure, at the upper end of what is known: ${ask.to_be_sure.words}.`;
  const most = mostWords(ask, words);
  return html`<p class="ask">A pump of <b>${ask.words}</b> of total head.</p>
<p>${sure} Its head at no flow must be above ${words.head(ask.shut_off_above_m)}.${most} At that point it gives the water ${ask.hydraulic_w.toFixed(0)} W; a motor takes several times as much.</p>
${stepsTable(ask.steps)}`;
}

/** A pump that is large enough may be too large for the basin: then both are said, and where to read on. */
function mostWords({ at_most_lpm, lpm }: SizingAskFor, words: PaperWords): string {
  if (at_most_lpm === null) return "";
  if (at_most_lpm < lpm) {
    return ` In this basin as it is, a pump of more than ${words.lpm(at_most_lpm)} starts more often than its motor allows: see Floats and starts.`;
  }
  return ` One of more than ${words.lpm(at_most_lpm)} would start too often in this basin.`;
}

const velocityWords = { "too-slow": "too slow", good: "good", fast: "fast", "too-fast": "too fast" };

/** Where the words for a velocity begin and end. */
function velocityLimits(words: PaperWords): string {
  const [slow, quiet, most] = [keepsSolidsMoving, staysQuiet, highestVelocity].map(({ velocity_ms }) =>
    words.velocity(velocity_ms),
  );
  return `Too slow: under ${slow}, sand and silt settle. Good: up to ${quiet}. Fast: above that it is heard in the house, and a closing check valve knocks; a wider pipe is quieter. Too fast: above ${most}, noise and water hammer.`;
}

function pipeTable(pipes: readonly SizingPipe[], words: PaperWords): Html | null {
  if (pipes.length === 0) return null;
  return html`<table><caption>Pipe sizes compared, at the required flow and with the present pump; velocity of what it moves</caption><thead><tr><th scope="col">Pipe</th><th scope="col">Friction</th><th scope="col">Total head</th><th scope="col">Velocity</th><th scope="col">This pump moves</th></tr></thead>
<tbody>${pipes.map(({ label, present, required, duty: point, velocity }) => html`<tr><th scope="row">${label}${present && " (present)"}</th><td>${required && words.head(required.friction_m)}</td><td>${required && words.head(required.total_m)}</td><td>${(point ?? required) && words.velocity((point ?? required)?.velocity_ms ?? 0)}${velocity && html` <small>${velocityWords[velocity]}</small>`}</td><td>${point === null ? "–" : words.lpm(point.lpm)}</td></tr>`)}</tbody></table><p class="aside"><small>${velocityLimits(words)}</small></p>`;
}

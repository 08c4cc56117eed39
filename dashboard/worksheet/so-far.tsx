// What the sheet comes to so far, beside every step: the pump against the pipe, and what cannot be.

import { pumpChart } from "../../analysis/paper/pump-chart.ts";
import { paperWords } from "../../analysis/paper/words.ts";
import type { Site } from "../../analysis/site.ts";
import { toSi } from "../../analysis/units/unit.ts";
import { site } from "../live.ts";
import { ToneMark } from "../parts/severity-mark.tsx";
import { units } from "../preferences.ts";
import { ChartBox } from "./chart-box.tsx";
import { entryText, unitWord } from "./entry.ts";
import { type Field, fields } from "./fields.ts";
import { answer, failure } from "./reckon.ts";
import type { Problem } from "./sheet.ts";
import { isChanged, sheet, step, tried } from "./state.ts";
import { verdictTone, verdictWord } from "./steps/result-step.tsx";

export function SoFar() {
  const [found, now] = [answer.value, tried.value];
  if (now === null) return null;
  const verdict = found?.pump?.verdict ?? "not-enough-data";
  const words = paperWords(units.value);
  return (
    <aside class="so-far" aria-label="What it comes to so far">
      {step.value !== "Result" && (
        <p class={`so-far-verdict tone-${verdictTone[verdict]}`} role="status">
          <ToneMark tone={verdictTone[verdict]} />
          <span>
            <b>{verdictWord[verdict]}</b>
            {found?.required && ` · ${words.lpm(found.required.flow.lpm)} required`}
            {found?.head && ` at ${words.head(found.head.total_m, 1)}`}
          </span>
        </p>
      )}
      {[...now.problems.map(problemWords), ...(found?.impossible ?? []), ...(failure.value ? [failure.value] : [])].map(
        (line) => (
          <p key={line} class="fault" role="alert">
            {line}
          </p>
        ),
      )}
      <Chart tried={now.site} />
    </aside>
  );
}

function Chart({ tried: now }: { tried: Site }) {
  const { discharge, pump, basin } = now;
  const curve = pump?.curve ?? null;
  const stopLevel_m = basin.stopLevel_m;
  if (discharge === null || curve === null || stopLevel_m === null) {
    return (
      <p class="where">The pump's curve against the pipe is drawn here once pipe, pump and stop level are known.</p>
    );
  }
  const { head } = answer.value ?? { head: null };
  const before = site.value?.site.pump?.curve ?? null;
  const other =
    isChanged.value && before !== null && before !== curve
      ? [{ name: "the pump of the site file", curve: before }]
      : [];
  return (
    <ChartBox
      ratio={1.35}
      caption="Falling line: the pump. Rising lines: what the pipe asks for, solid with the water at the stop level, dashed at the start level. Rings: where they meet. Cross: what is required."
      draw={(size) =>
        pumpChart({
          size,
          units: units.value,
          discharge,
          startLevel_m: basin.startLevel_m,
          stopLevel_m,
          pumps: [{ name: "the pump", curve }, ...other],
          required: head && { flow_m3s: toSi(head.lpm, "L/min"), head_m: head.total_m },
        })
      }
    />
  );
}

/** Two figures that cannot both be right, both named. */
export function problemWords(problem: Problem): string {
  if (problem.kind === "curve") return problem.words;
  if (problem.kind === "no-room") {
    return `The pump and its pipes (${figureOf("occupied")}) leave the water no room in the basin.`;
  }
  const { lower, upper } = problem;
  return `${fields[upper].label}, ${figureOf(upper)}, must stand above ${fields[lower].label.toLowerCase()}, ${figureOf(lower)}.`;
}

function figureOf(key: keyof typeof fields): string {
  const field: Field = fields[key];
  return `${entryText(sheet.value?.numbers[key] ?? null, field, units.value)} ${unitWord(field, units.value)}`;
}

// What everything starts from: what was measured, how much of the truth that is, and what to allow for beyond it.

import { inflowChart } from "../../../analysis/paper/inflow-chart.ts";
import { volumeWords } from "../../../analysis/paper/words.ts";
import type { PeakWindow } from "../../../analysis/report/report.ts";
import { type RainDistribution, rainDistributions } from "../../../analysis/storms/design-storm-site.ts";
import { toSi } from "../../../analysis/units/unit.ts";
import { decimalsFor, fixed, toDisplay, unitName } from "../../format.ts";
import { site } from "../../live.ts";
import { ToneMark } from "../../parts/severity-mark.tsx";
import { units } from "../../preferences.ts";
import { siteTime } from "../../site-time.ts";
import { capital } from "../capital.ts";
import { ChartBox } from "../chart-box.tsx";
import { Choice } from "../choice.tsx";
import { HandTestPanel } from "../hand-test-panel.tsx";
import { SheetField } from "../number-field.tsx";
import { answer } from "../reckon.ts";
import { seenCriteria } from "../seen-criteria.ts";
import { byHand, change, measured, sheet } from "../state.ts";

const windows: readonly (readonly [PeakWindow, string])[] = [
  ["60", "Highest minute"],
  ["600", "Highest 10 minutes"],
  ["3600", "Highest hour"],
];

const distributionWords: Readonly<Record<RainDistribution, string>> = {
  "nrcs-type-1": "NRCS type I",
  "nrcs-type-1a": "NRCS type IA",
  "nrcs-type-2": "NRCS type II",
  "nrcs-type-3": "NRCS type III",
  uniform: "evenly",
  balanced: "balanced: heaviest in the middle",
};

export function MeasuredStep() {
  const record = measured.value;
  const isLogged = record !== null && record.inflow.length > 0;
  return (
    <>
      {record === null && <p class="waiting">Asking for the record…</p>}
      {isLogged ? <Logged /> : record !== null && <p>Nothing has been logged yet. A hand test does for today.</p>}
      <Seen />
      {isLogged && (
        <fieldset class="switch shape-switch">
          <legend>Size by</legend>
          <button type="button" aria-pressed={!byHand.value} onClick={() => (byHand.value = false)}>
            The record
          </button>
          <button type="button" aria-pressed={byHand.value} onClick={() => (byHand.value = true)}>
            A hand test
          </button>
        </fieldset>
      )}
      {(!isLogged || byHand.value) && <HandTestPanel />}
      <h3>What to allow for beyond it</h3>
      <SheetField name="factor" />
      <SheetField name="stormDepth" />
      <SheetField name="stormDuration" />
      <Choice
        label="How its rain is spread"
        where="The published 24-hour type of your region; where none is published, balanced is the harder one."
        value={sheet.value?.distribution ?? null}
        choices={rainDistributions.map((value) => ({ value, word: distributionWords[value] }))}
        choose={(distribution) => change({ distribution })}
      />
      <p class="where">
        What such a storm brings is foretold from rain that was logged beside the inflow. This page does not know the
        rain: <code>undercroft size --recording … --rain …</code> does.
      </p>
    </>
  );
}

function Logged() {
  const info = site.value;
  const record = measured.value;
  if (!info || !record) return null;
  const { inflow, summary } = record;
  const { timezone } = info.site;
  const peak = summary.inflow.peak["600"];
  const { start, end } = summary.span;
  return (
    <>
      {start !== null && end !== null && (
        <p>{siteTime(timezone).span(Date.parse(start) / 1000, Date.parse(end) / 1000)}</p>
      )}
      <ChartBox
        ratio={3}
        caption="Inflow over the record. Heavy line: the mean; light line: the highest; ring: the highest 10 minutes."
        draw={(size) =>
          inflowChart({
            size,
            units: units.value,
            timezone,
            inflow,
            peak: peak && { time_s: Date.parse(peak.at) / 1000, flow_m3s: toSi(peak.lpm, "L/min") },
            required_m3s: null,
          })
        }
      />
      <dl class="pairs">
        {windows.map(([key, name]) => (
          <div key={key}>
            <dt>{name}</dt>
            <dd>{peakWords(summary.inflow.peak[key])}</dd>
          </div>
        ))}
        <div>
          <dt>Mean inflow</dt>
          <dd>{peakWords(meanOf(summary.inflow))}</dd>
        </div>
        <div>
          <dt>Pump starts</dt>
          <dd>
            {summary.totals.starts}; at most {summary.totals.most_starts_in_an_hour} in an hour
          </dd>
        </div>
        {summary.totals.pumped_l !== null && (
          <div>
            <dt>Pumped</dt>
            <dd>{volumeWords(toSi(summary.totals.pumped_l, "L"), units.value)}</dd>
          </div>
        )}
      </dl>
    </>
  );
}

function meanOf({
  mean_lpm,
  mean_u95_lpm,
}: {
  readonly mean_lpm: number | null;
  readonly mean_u95_lpm: number | null;
}) {
  return mean_lpm === null || mean_u95_lpm === null ? null : { lpm: mean_lpm, u95_lpm: mean_u95_lpm };
}

function peakWords(flow: { readonly lpm: number; readonly u95_lpm: number } | null): string {
  if (flow === null) return "not seen whole yet";
  const unit = unitName("flow", units.value);
  const inUnit = (lpm: number) => toDisplay(toSi(lpm, "L/min"), "flow", units.value);
  const decimals = Math.min(3, decimalsFor(inUnit(flow.u95_lpm)));
  return `${fixed(inUnit(flow.lpm), decimals)} ± ${fixed(inUnit(flow.u95_lpm), decimals)} ${unit}`;
}

/** When to stop logging: what is asked of a record, and what is there of it. */
function Seen() {
  const found = answer.value?.seen ?? null;
  const criteria = seenCriteria.value;
  if (found === null) return null;
  return (
    <section class={found.enough ? "seen tone-calm" : "seen tone-watch"} aria-labelledby="seen-title">
      <h3 id="seen-title">How much of the truth has been seen</h3>
      <p>{found.message}</p>
      <ul class="criteria">
        {criteria.map(({ key, met, asked, found: there }) => (
          <li key={key}>
            <ToneMark tone={met ? "calm" : "unknown"} />
            <span>
              <span class="unseen">{met ? "Met: " : "Not met: "}</span>
              {capital(asked)}
              <small>so far: {there}</small>
            </span>
          </li>
        ))}
      </ul>
    </section>
  );
}

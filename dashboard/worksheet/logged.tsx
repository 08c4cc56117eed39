// What the record says came in: its picture, its peaks with their bounds, what the pump did.

import { inflowChart } from "../../analysis/paper/inflow-chart.ts";
import { paperWords, volumeWords } from "../../analysis/paper/words.ts";
import type { PeakWindow, ReportSummary } from "../../analysis/report/report.ts";
import { unwatchedSentence } from "../../analysis/report/unwatched-words.ts";
import type { SizingFlow } from "../../analysis/sizing/answer/figures.ts";
import { toSi } from "../../analysis/units/unit.ts";
import { site } from "../live.ts";
import { units } from "../preferences.ts";
import { siteTime } from "../site-time.ts";
import { ChartBox } from "./chart-box.tsx";
import { measured } from "./state.ts";

const windows: readonly (readonly [PeakWindow, string])[] = [
  ["60", "Highest minute"],
  ["600", "Highest 10 minutes"],
  ["3600", "Highest hour"],
];

export function Logged() {
  const info = site.value;
  const record = measured.value;
  if (!info || !record) return null;
  const { inflow, summary } = record;
  const { timezone } = info.site;
  const peak = summary.inflow.peak["600"];
  const { start, end } = summary.span;
  const unwatched = unwatchedSentence(summary.totals.unwatched_runs);
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
            {summary.totals.starts_about && "about "}
            {summary.totals.starts.toLocaleString("en")}; at most {summary.totals.most_starts_in_an_hour} in an hour
          </dd>
        </div>
        {summary.totals.pumped_l !== null && (
          <div>
            <dt>Pumped</dt>
            <dd>
              {summary.totals.pumped_about && "about "}
              {volumeWords(toSi(summary.totals.pumped_l, "L"), units.value)}
            </dd>
          </div>
        )}
      </dl>
      {unwatched !== null && <p>{unwatched}</p>}
    </>
  );
}

function meanOf({ mean_lpm, mean_u95_lpm, mean_at_least }: ReportSummary["inflow"]): SizingFlow | null {
  if (mean_lpm === null || mean_u95_lpm === null) return null;
  return { lpm: mean_lpm, u95_lpm: mean_u95_lpm, ...(mean_at_least && { at_least: mean_at_least }) };
}

function peakWords(flow: SizingFlow | null): string {
  return flow === null ? "not seen whole yet" : paperWords(units.value).flow(flow);
}

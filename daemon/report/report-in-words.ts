// The report for a person at the command line: what came, what the pump did, what was found, whether it will hold.

import type { ReportFloatTrips, ReportFlow, ReportSummary, SizingVerdict } from "../../analysis/report/report.ts";
import { unwatchedWords } from "../../analysis/report/unwatched-words.ts";
import type { Site } from "../../analysis/site.ts";
import { fromSi, toSi } from "../../analysis/units/unit.ts";
import { durationInWords as duration } from "../config/duration-in-words.ts";
import { inWords } from "../config/in-words.ts";
import { pumpCurveInWords } from "./pump-curve-in-words.ts";
import { pumpsInWords, withOneFailed } from "./pumps-in-words.ts";
import { wrapped } from "./wrapped.ts";

const verdicts: Record<SizingVerdict, string> = {
  adequate: "adequate: the pump moves more than the measured peak with its allowance",
  marginal: "marginal: hardly more than the measured peak with its allowance",
  undersized: "undersized: the measured peak with its allowance is more than the pump moves",
  "not-enough-data": "not enough data yet to say whether the pump is large enough",
};

/** What the pump moves: the median of its runs, or, where none of them has a rate of its own, by many taken together. */
export interface MeasuredRate {
  readonly flow_m3s: number;
  readonly of: "median" | "together";
}

/** @param measured null when no run could be measured */
export function reportInWords(summary: ReportSummary, site: Site, measured: MeasuredRate | null): string {
  return [
    heading(summary, site),
    section("Inflow", inflowLines(summary, site)),
    section("Pump", pumpLines(summary, site, measured)),
    section("Findings", findingLines(summary, site)),
    section("Sizing", sizingLines(summary, site)),
  ].join("\n");
}

function section(title: string, lines: readonly string[]): string {
  return [`\n${title}`, ...lines.flatMap(wrapped)].join("\n");
}

function heading({ span }: ReportSummary, site: Site): string {
  if (span.start === null || span.end === null) return `${site.name}: the recording holds no reading.`;
  const gaps =
    span.gaps.length === 0
      ? "without a gap"
      : `with ${span.gaps.length} gap${span.gaps.length === 1 ? "" : "s"} (${duration(missing_s(span.gaps))} missing)`;
  const length_s = (Date.parse(span.end) - Date.parse(span.start)) / 1000;
  return [
    site.name,
    `${local(span.start, site)} to ${local(span.end, site)}, ${site.timezone}`,
    `${duration(length_s)}, ${span.rows.toLocaleString("en")} reading${span.rows === 1 ? "" : "s"}, ${gaps}`,
  ].join("\n");
}

function inflowLines({ inflow }: ReportSummary, site: Site): string[] {
  if (inflow.mean_lpm === null) return ["unknown: no rest between two runs could be measured"];
  const flow = flowWords(site);
  const peak = (window: "60" | "600" | "3600", name: string) => {
    const found = inflow.peak[window];
    return found === null
      ? `highest over ${name}: not known, no such stretch was seen whole`
      : `highest over ${name}: ${found.at_least ? "at least " : ""}${flow(found.lpm)}${interval(found, site)}${found.at_most_lpm === undefined ? "" : `, at most ${flow(found.at_most_lpm)}`}, about ${local(found.at, site)}`;
  };
  return [
    `mean: ${inflow.mean_at_least ? "at least " : ""}${flow(inflow.mean_lpm)}`,
    peak("60", "a minute"),
    peak("600", "ten minutes"),
    peak("3600", "an hour"),
    ...(Object.values(inflow.peak).some((found) => found?.at_least && found.at_most_lpm === undefined)
      ? [
          "more may have come in than could be measured: water stood at the rim, came faster than readings could follow, or came while nothing was read, in a long run without a level, or while a pump that nothing tells of may have run",
        ]
      : []),
    ...(Object.values(inflow.peak).some((found) => found?.at_most_lpm !== undefined)
      ? ["without a level only what lies between the floats is known of a rest, not when in it that came in"]
      : []),
  ];
}

const measuredBy = {
  median: "the median of its runs",
  together: "by many runs together, for readings are too far apart to time one",
} as const satisfies Record<MeasuredRate["of"], string>;

function pumpLines(summary: ReportSummary, site: Site, measured: MeasuredRate | null): string[] {
  const { totals, sizing, pumps, pump, floats } = summary;
  const words = inWords(site.displayUnits);
  const lines = [
    `${totals.starts_about ? "about " : ""}${totals.starts} start${totals.starts === 1 ? "" : "s"}, at most ${totals.most_starts_in_an_hour} in an hour; ran ${duration(totals.run_s)} in all`,
  ];
  const unwatched = unwatchedWords(totals.unwatched_runs);
  if (unwatched !== null) lines.push(unwatched);
  if (totals.pumped_l !== null)
    lines.push(`pumped ${totals.pumped_about ? "about " : ""}${words.volume(toSi(totals.pumped_l, "L"))}`);
  if (floats !== undefined) lines.push(...floatsInWords(floats, site));
  lines.push(...pumpsInWords(summary, flowWords(site)));
  // The runs of two pumps have no median that says anything.
  if (pumps !== undefined) return lines;
  lines.push(
    measured === null
      ? "moves, as measured: not known, no run could be measured"
      : `moves, as measured: ${words.flow(measured.flow_m3s)}, ${measuredBy[measured.of]}`,
  );
  if (sizing.duty_point !== null) {
    const { lpm } = sizing.duty_point;
    const apart = measured === null ? "" : `; measured, it moves ${comparison(measured.flow_m3s, toSi(lpm, "L/min"))}`;
    lines.push(
      `by its curve against this discharge: ${flowWords(site)(lpm)} at ${words.head(sizing.duty_point.head_m)} of head${apart}`,
    );
  }
  if (pump !== undefined) lines.push(...pumpCurveInWords(pump, site));
  return lines;
}

/** Said only where it differs from the site file. */
function floatsInWords({ start_level_mm, stop_level_mm, message }: ReportFloatTrips, site: Site): string[] {
  if (message === null) return [];
  const { level } = inWords(site.displayUnits);
  return [`starts at ${level(toSi(start_level_mm, "mm"))}, stops at ${level(toSi(stop_level_mm, "mm"))}`, message];
}

function comparison(measured_m3s: number, curve_m3s: number): string {
  const percent = Math.round(100 * (measured_m3s / curve_m3s - 1));
  if (percent === 0) return "as much";
  return `${Math.abs(percent)} % ${percent > 0 ? "more" : "less"}`;
}

function findingLines({ findings }: ReportSummary, site: Site): string[] {
  if (findings.length === 0) return ["none"];
  const lines = findings.slice(0, 20).flatMap((finding) => {
    return [`${finding.kind} (${finding.severity}), ${whenItLasted(finding, site)}`, `  ${finding.message}`];
  });
  return findings.length > 20 ? [...lines, `and ${findings.length - 20} more: see --json`] : lines;
}

/** To the minute; what was over within one or two, with how long it took. */
function whenItLasted({ from, to }: ReportSummary["findings"][number], site: Site): string {
  if (to === null) return `${local(from, site)} still so at the end`;
  const span_s = (Date.parse(to) - Date.parse(from)) / 1000;
  return `${local(from, site)} ${span_s < 120 ? `for ${duration(span_s)}` : `to ${local(to, site)}`}`;
}

function sizingLines(summary: ReportSummary, site: Site): string[] {
  const { sizing } = summary;
  const lines = [verdicts[sizing.verdict]];
  const words = inWords(site.displayUnits);
  if (sizing.required_lpm !== null) {
    const at =
      sizing.total_dynamic_head_m === null
        ? ""
        : ` at ${words.head(sizing.total_dynamic_head_m)} of total dynamic head`;
    lines.push(
      `required: ${flowWords(site)(sizing.required_lpm)}${at} (peak over ten minutes × ${site.design.inflowFactor})`,
    );
  }
  const failed = withOneFailed(summary, flowWords(site));
  if (failed !== null) lines.push(failed);
  else if (sizing.margin !== null)
    lines.push(`the pump moves ${Number(sizing.margin.toPrecision(2))} times the peak over ten minutes`);
  lines.push("Advice only: local codes and licensed practice decide.");
  return lines;
}

function flowWords(site: Site): (lpm: number) => string {
  const { flow } = inWords(site.displayUnits);
  return (lpm) => flow(toSi(lpm, "L/min"));
}

function interval({ u95_lpm }: ReportFlow, site: Site): string {
  const unit = site.displayUnits === "us" ? "gpm" : "L/min";
  return ` ± ${Number(fromSi(toSi(u95_lpm, "L/min"), unit).toPrecision(2))} ${unit}`;
}

function local(iso: string, site: Site): string {
  return new Intl.DateTimeFormat("en-CA", {
    timeZone: site.timezone,
    dateStyle: "medium",
    timeStyle: "short",
    hourCycle: "h23",
  }).format(new Date(iso));
}

function missing_s(gaps: readonly { readonly from: string; readonly to: string }[]): number {
  return gaps.reduce((sum, gap) => sum + (Date.parse(gap.to) - Date.parse(gap.from)) / 1000, 0);
}

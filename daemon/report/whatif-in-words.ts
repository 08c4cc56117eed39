// The what-if for a person at the command line: how far to trust it, the candidates side by side, and what was taken for
// granted in each.

import { duration } from "../../analysis/units/duration.ts";
import { fromSi, toSi } from "../../analysis/units/unit.ts";
import { twoFigures, type Words, words } from "../../analysis/units/words.ts";
import type { Ranged, WhatIfAnswer, WhatIfAnswerRow, WhatIfFigures } from "../../analysis/whatif/whatif-answer.ts";
import { wrapped } from "./wrapped.ts";

export function whatIfInWords(answer: WhatIfAnswer): string {
  const say = words(answer.site.display_units);
  const local = localTime(answer.site.timezone);
  return [
    answer.site.name,
    `${replayedWhat[answer.inflow.of]}, ${local(answer.inflow.from)} to ${local(answer.inflow.to)}, ${answer.site.timezone}`,
    section("How far to trust it", [answer.trust.message]),
    section("Side by side", table(answer, say)),
    ...answer.rows.map((row) => section(row.name, details(row, say, local))),
    section("Mind", [...answer.notes, ...answer.cautions]),
  ].join("\n");
}

const replayedWhat: Readonly<Record<WhatIfAnswer["inflow"]["of"], string>> = {
  recording: "The recorded inflow",
  "design-storm": "The design storm alone",
  "recording-then-design-storm": "The recorded inflow, then the design storm",
};

function section(title: string, lines: readonly string[]): string {
  return [`\n${title}`, ...lines.flatMap(wrapped)].join("\n");
}

function table({ rows }: WhatIfAnswer, say: Words): string[] {
  const played = rows.flatMap(({ name, figures }) => (figures === null ? [] : [{ name, figures }]));
  const heads = ["", "highest water", "starts", "most in 1 h", "ran", "over high water", "ran over"];
  const cells = [heads, ...played.map(({ name, figures }) => [name, ...cellsOf(figures, say)])];
  const widths = heads.map((_, column) => Math.max(...cells.map((row) => row[column]?.length ?? 0)));
  const lines = cells.map((row) =>
    row
      .map((cell, column) => cell.padEnd(widths[column] ?? 0))
      .join("  ")
      .trimEnd(),
  );
  const missing = rows.filter(({ figures }) => figures === null);
  return [...lines.map((line) => ` ${line}`), ...missing.map(({ name }) => `${name}: cannot be replayed, see below`)];
}

function cellsOf(figures: WhatIfFigures, say: Words): string[] {
  const { highest_level_mm, starts, most_starts_in_an_hour, run_s, above_high_s, overflow_l } = figures;
  return [
    say.level(toSi(highest_level_mm.value, "mm")),
    String(starts.value),
    String(most_starts_in_an_hour),
    duration(run_s),
    above_high_s === null ? "not known" : above_high_s === 0 ? "never" : duration(above_high_s),
    overflow_l.value === 0 ? "nothing" : say.volume(toSi(overflow_l.value, "L")),
  ];
}

const leastRange = 0.01;

/** Of the figures in the table, those that may well be others. */
function rangesLine({ highest_level_mm, starts, overflow_l }: WhatIfFigures, say: Words): string[] {
  const ranges = [
    range("highest water", highest_level_mm, (mm) => coarse(mm, say)),
    range("starts", starts, String),
    range("ran over", overflow_l, (l) => say.volume(toSi(l, "L"))),
  ].filter((each) => each !== null);
  return ranges.length === 0 ? [] : [`in 95 of 100 cases: ${ranges.join("; ")}`];
}

/** `14 to 14.6 in`: the unit once; null where both ends show as the same, or are within a hundredth of each other. */
function range(what: string, { low, high }: Ranged, say: (value: number) => string): string | null {
  return say(low) === say(high) || high - low < leastRange * high ? null : `${what} ${bare(say(low))} to ${say(high)}`;
}

/** To a tenth of an inch, or a millimetre: no sensor tells more. */
function coarse(level_mm: number, say: Words): string {
  return say.headUnit === "ft"
    ? `${Number(fromSi(toSi(level_mm, "mm"), "in").toFixed(1))} in`
    : `${Math.round(level_mm)} mm`;
}

function sentence(text: string): string {
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;
}

function bare(text: string): string {
  return text.replace(/ .*$/, "");
}

function details(
  { figures, missing, impossible, assumptions }: WhatIfAnswerRow,
  say: Words,
  local: (iso: string) => string,
): string[] {
  if (figures === null) return ["cannot be replayed:", ...missing.map((each) => `  ${each}`)];
  const { pumps, allowed_starts_in_an_hour: allowed } = figures;
  const most = pumps[0]?.most_starts_in_an_hour ?? 0;
  return [
    ...impossible.map(sentence),
    ...(allowed !== null && most > allowed
      ? [`more starts in an hour (${most}) than the motor allows (${allowed})`]
      : []),
    ...figures.power_cuts.map(({ from, to }) => `power cut from ${local(from)} to ${local(to)}`),
    ...(figures.overflow_from === null
      ? []
      : [`water runs over from ${local(figures.overflow_from)} on, for ${duration(figures.overflow_s)} in all`]),
    ...batteryLines(figures, local),
    ...(pumps.length < 2
      ? []
      : pumps.map(({ name, starts, run_s }, i) => {
          const times = `${starts} start${starts === 1 ? "" : "s"}, ran ${duration(run_s)}`;
          return `${name ?? `pump ${i + 1}`}: ${starts === 0 && run_s === 0 ? "never ran" : times}`;
        })),
    ...(figures.energy_kwh === null ? [] : [`${twoFigures(figures.energy_kwh)} kWh from the mains`]),
    ...rangesLine(figures, say),
    `Taken for granted: ${assumptions.join("; ")}.`,
  ];
}

function batteryLines(figures: WhatIfFigures, local: (iso: string) => string): string[] {
  const { battery_empty_s, battery_empty_from, battery_energy_kwh, pumps } = figures;
  if (battery_empty_s === null) return [];
  const ran_s = pumps.reduce((sum, { run_on_battery_s }) => sum + run_on_battery_s, 0);
  const energy = battery_energy_kwh === null ? "" : `, ${twoFigures(battery_energy_kwh)} kWh`;
  return [
    battery_empty_from === null
      ? `the battery holds: the pump runs ${duration(ran_s)} from it${energy}`
      : `the battery is empty at ${local(battery_empty_from)}, after the pump ran ${duration(ran_s)} from it${energy}; the mains are out for ${duration(battery_empty_s)} more`,
  ];
}

function localTime(timeZone: string): (iso: string) => string {
  const format = new Intl.DateTimeFormat("en-CA", {
    timeZone,
    dateStyle: "medium",
    timeStyle: "short",
    hourCycle: "h23",
  });
  return (iso) => format.format(new Date(iso));
}

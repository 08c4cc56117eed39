// Figures of the sizing answer, which are in the contract's units, as the reader of the paper reads them.

import type { SizingFlow, SizingTime, SizingVolume } from "../sizing/answer/figures.ts";
import { decimalsFor, fixed, type Measure, quantity, toDisplay, type UnitSystem, unitName } from "../units/display.ts";
import { duration } from "../units/duration.ts";
import { toSi } from "../units/unit.ts";

export interface PaperWords {
  readonly units: UnitSystem;
  /** `12.4 gpm` */
  lpm(lpm: number | null, decimals?: number): string;
  /** `12.4 ± 0.3 gpm`; without how sure it is where nothing says so, or less than the basin's own size is ever known. */
  flow(flow: SizingFlow | null): string;
  volume(volume: SizingVolume | null): string;
  /** A water level. */
  mm(level_mm: number | null): string;
  /** A length off a ruler as it was read, to the last digit: `7.875 in`. */
  ruler(read_mm: number): string;
  litres(litres: number | null): string;
  /** A head, as finely as a sum of heads needs. */
  head(head_m: number | null, decimals?: number): string;
  length(length_m: number): string;
  bore(bore_mm: number): string;
  velocity(velocity_ms: number): string;
  rain(depth_mm: number): string;
  /** `40 min (35 min to 50 min)` */
  time(time: SizingTime | null): string;
  duration(span_s: number | null): string;
  unit(measure: Measure): string;
}

export function paperWords(units: UnitSystem): PaperWords {
  const of = (value_si: number | null, measure: Measure, decimals?: number) =>
    quantity(value_si, measure, units, decimals);
  const si = (value: number | null, unit: "L/min" | "mm" | "L") => (value === null ? null : toSi(value, unit));
  const withInterval = (value_si: number, u95_si: number | null, measure: Measure) => {
    if (u95_si === null || !(u95_si > leastShare * Math.abs(value_si))) return of(value_si, measure);
    const [value, halfWidth] = [toDisplay(value_si, measure, units), toDisplay(u95_si, measure, units)];
    const fourFigures = Math.max(0, 3 - Math.floor(Math.log10(Math.abs(value))));
    const decimals = Math.min(fourFigures, decimalsFor(halfWidth));
    if (Number(halfWidth.toFixed(decimals)) === 0) return of(value_si, measure);
    return `${fixed(value, decimals)} ± ${fixed(halfWidth, decimals)} ${unitName(measure, units)}`;
  };
  return {
    units,
    lpm: (lpm, decimals) => of(si(lpm, "L/min"), "flow", decimals),
    flow: (flow) =>
      flow === null
        ? "not known"
        : `${flow.at_least ? "at least " : ""}${withInterval(toSi(flow.lpm, "L/min"), si(flow.u95_lpm, "L/min"), "flow")}`,
    volume: (volume) =>
      volume === null ? "not known" : withInterval(toSi(volume.l, "L"), si(volume.u95_l, "L"), "volume"),
    // In metric use as the sums beside it have it.
    mm: (level_mm) =>
      units === "metric" && level_mm !== null ? `${fixed(level_mm, 0)} mm` : of(si(level_mm, "mm"), "level"),
    ruler: (read_mm) =>
      units === "metric"
        ? `${Number(read_mm.toFixed(1))} mm`
        : `${Number(toDisplay(toSi(read_mm, "mm"), "level", units).toFixed(3))} ${unitName("level", units)}`,
    litres: (litres) => volumeWords(si(litres, "L"), units),
    head: (head_m, decimals = 2) => of(head_m, "head", decimals),
    length: (length_m) => of(length_m, "length"),
    bore: (bore_mm) => of(toSi(bore_mm, "mm"), "bore"),
    velocity: (velocity_ms) => of(velocity_ms, "velocity"),
    rain: (depth_mm) => of(toSi(depth_mm, "mm"), "rain"),
    time: (time) => (time === null ? "not known" : timeWords(time)),
    duration: (span_s) => (span_s === null ? "not known" : duration(span_s)),
    unit: (measure) => unitName(measure, units),
  };
}

/**
 * A half-width under this share of the figure is not shown: no basin is measured so well, so it leaves out what matters
 * most. Judgement, no source.
 */
const leastShare = 0.002;

/** Three figures of a large volume are enough. */
export function volumeWords(volume_m3: number | null, units: UnitSystem): string {
  if (volume_m3 === null) return "not known";
  const value = toDisplay(volume_m3, "volume", units);
  if (Math.abs(value) < 100) return quantity(volume_m3, "volume", units, Math.abs(value) < 10 ? 2 : 1);
  return `${Math.round(value).toLocaleString("en")} ${unitName("volume", units)}`;
}

/** A range so narrow is that of reading a watch. */
const leastOfTime = 0.01;

function timeWords({ s, low_s, high_s }: SizingTime): string {
  if (low_s !== null && s - low_s < leastOfTime * s) return duration(s);
  const [middle, low, high] = [
    duration(s),
    low_s === null ? null : duration(low_s),
    high_s === null ? null : duration(high_s),
  ];
  if (low === null || (low === middle && high === middle)) return middle;
  return high === null ? `${middle} (${low} or never)` : `${middle} (${low} to ${high})`;
}

/** A time on the site's own clock: `Tue 4 Mar 2026, 06:10`. */
export function siteClock(timezone: string): (iso: string) => string {
  const format = formatter(timezone, { weekday: "short", day: "numeric", month: "short", year: "numeric" }, true);
  return (iso) => format(iso);
}

/** A day on the site's own clock: `4 March 2026`. */
export function siteDay(timezone: string): (iso: string) => string {
  const format = formatter(timezone, { day: "numeric", month: "long", year: "numeric" }, false);
  return (iso) => format(iso);
}

function formatter(timezone: string, options: Intl.DateTimeFormatOptions, clock: boolean): (iso: string) => string {
  const make = (timeZone: string) => ({
    day: new Intl.DateTimeFormat("en-GB", { timeZone, ...options }),
    clock: new Intl.DateTimeFormat("en-GB", { timeZone, hour: "2-digit", minute: "2-digit", hourCycle: "h23" }),
  });
  const { day, clock: minute } = madeOr(
    () => make(timezone),
    () => make("UTC"),
  );
  return (iso) => {
    const date = new Date(iso);
    const said = day.format(date).replaceAll(",", "");
    return clock ? `${said}, ${minute.format(date)}` : said;
  };
}

/** A zone that the browser does not know. */
function madeOr<Made>(first: () => Made, second: () => Made): Made {
  try {
    return first();
  } catch {
    return second();
  }
}

// How fast the level has been moving over the last minute, while the pump has kept its state.

export interface TrendState {
  time_s: number[];
  level_m: number[];
}

export function newTrend(): TrendState {
  return { time_s: [], level_m: [] };
}

/** A straight course: the level at one time and its rate of change. */
export interface LevelCourse {
  readonly time_s: number;
  readonly level_m: number;
  readonly rate_ms: number;
}

const kept_s = 60;
const spacing_s = 2;

export function restartTrend(trend: TrendState): void {
  trend.time_s.length = 0;
  trend.level_m.length = 0;
}

export function noteLevel(trend: TrendState, time_s: number, level_m: number | null): void {
  if (level_m === null) return;
  const newest_s = trend.time_s[trend.time_s.length - 1];
  if (newest_s !== undefined && time_s - newest_s < spacing_s) return;
  trend.time_s.push(time_s);
  trend.level_m.push(level_m);
  // Keeps one entry that is a minute old or more.
  while ((trend.time_s[1] ?? Number.POSITIVE_INFINITY) <= time_s - kept_s) {
    trend.time_s.shift();
    trend.level_m.shift();
  }
}

/** Null until a minute has been seen. */
export function riseInAMinute_m(trend: TrendState): number | null {
  const last = trend.time_s.length - 1;
  const span_s = (trend.time_s[last] ?? 0) - (trend.time_s[0] ?? 0);
  if (span_s < 0.9 * kept_s) return null;
  return (((trend.level_m[last] ?? 0) - (trend.level_m[0] ?? 0)) * kept_s) / span_s;
}

const latest_s = 8;
const shortestCourse_s = 15;

/** The course of the last minute but for its latest seconds, against which those can be held; null before 15 s of it. */
export function earlierCourse({ time_s, level_m }: TrendState): LevelCourse | null {
  const first_s = time_s[0] ?? Number.NaN;
  let last = time_s.length - 1;
  const newest_s = time_s[last] ?? Number.NaN;
  while (last > 0 && (time_s[last] ?? 0) > newest_s - latest_s) last -= 1;
  const end_s = time_s[last] ?? Number.NaN;
  const end_m = level_m[last] ?? Number.NaN;
  if (!(end_s - first_s >= shortestCourse_s)) return null;
  return { time_s: end_s, level_m: end_m, rate_ms: (end_m - (level_m[0] ?? Number.NaN)) / (end_s - first_s) };
}

/** Mean rate of change over what has been seen of the last minute; null before 5 s. */
export function levelTrend_ms(trend: TrendState): number | null {
  const last = trend.time_s.length - 1;
  const span_s = (trend.time_s[last] ?? 0) - (trend.time_s[0] ?? 0);
  return span_s < 5 ? null : ((trend.level_m[last] ?? 0) - (trend.level_m[0] ?? 0)) / span_s;
}

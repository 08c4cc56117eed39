// Readings of a recording worked off many at a time, column by column, while the pump rests and all is well: the same
// steps that `push` takes for each, and the same state afterwards, to the last digit.

import type { AnalyzerState } from "../analyzer-state.ts";
import { tooFlatForARun } from "../cycles/by-level/level-runs.ts";
import { feedLevels } from "../cycles/by-level/levels-at-once.ts";
import { noteRested } from "../cycles/by-signal/brief-runs.ts";
import type { WatchedSignal } from "../cycles/by-signal/watched-signal.ts";
import { noteRegular } from "../cycles/cadence.ts";
import { trackVolumes, underRim_m } from "../cycles/cycle-tracker.ts";
import { leaveStop } from "../findings/at-stop.ts";
import type { LookOut } from "../findings/look-out.ts";
import type { BasinGeometry } from "../geometry/basin.ts";
import { closelyRead_s } from "../readings/closely-read.ts";
import { isOrdinary, screenOrdinary } from "../readings/level-screen.ts";
import type { LevelRange } from "../readings/level-screen-state.ts";
import { noteLevelsWritten } from "../readings/levels-by-change.ts";
import { columnOf, type ReadingRows } from "../readings/reading-rows.ts";
import { noteLevels } from "../readings/trend.ts";
import type { BasinSite } from "../site.ts";
import { medianFrom } from "../statistics/median.ts";

export interface CalmRows {
  /**
   * Takes rows from `from` on, up to `to` or the first that `push` must look at; those from `first` to there were taken
   * before. Returns the first that was not taken.
   */
  take(rows: ReadingRows, first: number, from: number, to: number): number;
}

export interface CalmRowsParts {
  readonly state: AnalyzerState;
  readonly basin: BasinSite;
  readonly geometry: BasinGeometry;
  readonly range: LevelRange;
  readonly look: LookOut;
  readonly shadow: WatchedSignal["shadow"];
}

const most = 1024;
/** … and while a still contact is watched, so that the level hardly rises meanwhile. */
const mostWatched = 256;
/** In so few readings no level can show three runs, which would make the signal a dead one. */
const fewWatched = 8;
/** Levels before those that are taken, for their medians of five. */
const before = 4;
const last_s = 8e12;

export function createCalmRows(parts: CalmRowsParts): CalmRows {
  const { state, basin, geometry, look, shadow } = parts;
  const { watchedAfter_s } = shadow;
  const { cadence, screen, tracker, trend, tally } = state;
  const time_s = new Float64Array(most);
  const level_m = new Float64Array(before + most);
  const volume_m3 = new Float64Array(most);
  const range = {
    lowest_m: parts.range.lowest_m,
    highest_m: Math.min(parts.range.highest_m, underRim_m(basin)) - 1e-9,
  };
  /** For the steady level, which findings look at: noise takes readings over it long before. */
  const up_m = Math.min(basin.startLevel_m ?? range.highest_m, basin.highLevel_m ?? range.highest_m) - 1e-9;

  function isCalm(): boolean {
    const { runSignal, steady } = state;
    if (state.pumpRunning !== false || runSignal.on !== false || steady.on !== false || steady.changing !== null)
      return false;
    if (state.view !== "signal" || runSignal.origin !== "pumpOn" || tracker.pumps.origin !== null) return false;
    if (state.signalSince_s === null || state.inRuns.against > 0 || tracker.overRim > 0) return false;
    if ((tracker.unseenRuns ?? 0) > 0) return false;
    if (!(cadence.typical_s <= closelyRead_s && cadence.long_s <= closelyRead_s && cadence.last_s < last_s))
      return false;
    if (state.poll !== undefined && (state.poll.said !== 0 || state.poll.share > 0)) return false;
    if (cadence.eventShare > 0 || state.signalRows.watched || tally.signalRun_s === null || !isOrdinary(screen))
      return false;
    for (let i = 0; i < 5; i += 1) if (!((screen.recent_m[i] as number) <= range.highest_m)) return false;
    return look.mayBeCalm();
  }

  function take(rows: ReadingRows, first: number, from: number, to: number): number {
    // What is quickest to see comes first: many a row of a run is asked about.
    if (state.pumpRunning !== false) return from;
    const level = columnOf(rows, "level_m");
    const pump = columnOf(rows, "pumpOn");
    if (level === null || pump === null) return from;
    let row = from;
    while (row < to && isCalm()) {
      const count = gather(rows, level, pump, first, row, to);
      const taken = screenOrdinary(screen, range, time_s, level_m, count);
      if (taken > 0) noteTaken(taken);
      row += taken;
      if (taken === 0 || taken < count) break;
    }
    return row;
  }

  /** Writes down times and levels of rows that speak of nothing new but the level; returns how many. */
  function gather(
    rows: ReadingRows,
    level: Float64Array,
    pump: Float64Array,
    first: number,
    from: number,
    to: number,
  ): number {
    const { time_ms, columns, channels } = rows;
    const since_s = state.signalSince_s ?? 0;
    const watched = (time_ms[from] as number) / 1000 - since_s > watchedAfter_s;
    const end = Math.min(to, from + (watched ? mostWatched : most));
    for (let i = 0; i < before; i += 1) level_m[i] = screen.recent_m[i + 1] as number;
    let latest_s = cadence.last_s;
    let latestUp = -1;
    for (let i = 0; i < before; i += 1) if ((level_m[i] as number) > up_m) latestUp = i;
    let count = 0;
    for (let row = from; row < end; row += 1) {
      const now_s = (time_ms[row] as number) / 1000;
      if (pump[row] !== 0 || !(now_s > latest_s && now_s - latest_s <= closelyRead_s)) break;
      if (!watched && now_s - since_s > watchedAfter_s) break;
      if (columns.length > 2 && !saysNothingNew(columns, channels, row, first)) break;
      const now_m = level[row] as number;
      level_m[before + count] = now_m;
      if (now_m > up_m) latestUp = before + count;
      if (latestUp >= count && medianFrom(level_m, count) > up_m) break;
      time_s[count] = now_s;
      latest_s = now_s;
      count += 1;
    }
    return watched && !isFlat(count) ? Math.min(count, fewWatched) : count;
  }

  function noteTaken(count: number): void {
    for (let i = 0; i < count; i += 1) volume_m3[i] = geometry.volume_m3(level_m[before + i] as number);
    trackVolumes(tracker, time_s, volume_m3, count);
    noteLevels(trend, time_s, level_m, count);
    noteRegular(cadence, time_s, count);
    noteLevelsWritten(screen, time_s, level_m, before, count);
    noteRested(state.briefRuns, count);
    const latest_s = time_s[count - 1] as number;
    if (latest_s - (state.signalSince_s ?? 0) > watchedAfter_s)
      feedLevels(state.shadow, shadow.settings, time_s, level_m, count, shadow.output);
    tally.rows += count;
    tally.end_s = latest_s;
    state.otherViewBetter = 0;
    leaveStop(state.atStop, latest_s, false, 0, 0);
    state.lookedAt_s = latest_s;
  }

  function isFlat(count: number): boolean {
    let [lowest_m, highest_m] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
    for (let i = 0; i < count; i += 1) {
      const now_m = level_m[before + i] as number;
      if (now_m < lowest_m) lowest_m = now_m;
      if (now_m > highest_m) highest_m = now_m;
    }
    return tooFlatForARun(state.shadow, shadow.settings, lowest_m, highest_m);
  }

  return { take };
}

/** Channels beside level and contact are silent, or say what they said in the row before, which was taken. */
function saysNothingNew(
  columns: readonly Float64Array[],
  channels: ReadingRows["channels"],
  row: number,
  first: number,
): boolean {
  for (let c = 0; c < columns.length; c += 1) {
    const channel = channels[c];
    if (channel === "level_m" || channel === "pumpOn") continue;
    const column = columns[c] as Float64Array;
    const value = column[row] as number;
    if (Number.isNaN(value)) continue;
    if (row === first || value !== column[row - 1] || channel === "pump2On" || channel === "float2On") return false;
  }
  return true;
}

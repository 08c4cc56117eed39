// Water that is back within seconds or a minute of a stop, where readings are too far apart to see it come: now and then one
// falls just before or after a stop, and shows the water far lower than the line of the rest goes back to.

import { type CurveSamples, fitCurve } from "../../statistics/fit-curve.ts";
import { fitLine } from "../../statistics/fit-line.ts";

/** Of one rest: where its line stood at the stop, and by how much the lowest reading about the stop lies under that, surely. */
export interface RestBeginning {
  readonly line_m3: number;
  readonly under_m3: number;
  /** Of the rest's course where the line was fitted. */
  readonly bend?: CourseBend | undefined;
}

/** A parabola through the readings of the line, about their middle. */
interface CourseBend {
  readonly slope_m3s: number;
  /** The coefficient of the time's square. */
  readonly bend_m3s2: number;
  /** The readings' middle after the stop, and half of the time that they take. */
  readonly middle_s: number;
  readonly half_s: number;
}

export interface SeldomReturnState {
  /** Of the latest rests, oldest first. */
  readonly rests: RestBeginning[];
}

export function newSeldomReturn(): SeldomReturnState {
  return { rests: [] };
}

/** More than a closing valve lets through; common practice, no source. */
const more_m3 = 0.002;
/** By then it is back, and then the line is seen for so long. */
export const back_s = 45;
const intervalsUntilBack = 2;
const seen_s = 300;
const fewestSeen = 6;
const mostSeen = 10;
const surely = 2;
/** A pump that stops where its float lets it leaves no less water than this under that. */
const underStop_m3 = 1e-3;

/**
 * @param samples  of the rest, in m³ against seconds since the stop, as they were read
 * @param last_m3  the last reading of the run; null where there is none
 * @param stop_m3  stored volume at which the pump's float stops it
 * @returns null where too few readings show the line
 */
export function beginningOfRest(
  { t, y, count }: CurveSamples,
  last_m3: number | null,
  stop_m3: number,
  interval_s: number,
): RestBeginning | null {
  const from_s = Math.max(back_s, intervalsUntilBack * interval_s);
  const to_s = from_s + Math.max(seen_s, mostSeen * interval_s);
  let [first, end] = [0, 0];
  while (first < count && (t[first] as number) < from_s) first += 1;
  for (end = first; end < count && (t[end] as number) <= to_s; ) end += 1;
  if (end - first < fewestSeen) return null;
  if (!((t[end - 1] as number) > (t[first] as number))) return null;
  const { intercept: line_m3, slope } = fitLine(t.subarray(first, end), y.subarray(first, end));
  const bend = bendOf(t.subarray(first, end), y.subarray(first, end));
  let squares = 0;
  for (let i = first; i < end; i += 1) {
    const [time_s, volume_m3] = [t[i] as number, y[i] as number];
    squares += (volume_m3 - (bend?.valueAt(time_s) ?? line_m3 + slope * time_s)) ** 2;
  }
  const sd_m3 = Math.sqrt(squares / (end - first - (bend === undefined ? 2 : 3)));
  let lowest_m3 = last_m3 ?? Number.POSITIVE_INFINITY;
  for (let i = 0; i < first; i += 1) lowest_m3 = Math.min(lowest_m3, y[i] as number);
  const stood = lowest_m3 >= stop_m3 - underStop_m3;
  const under_m3 = stood ? line_m3 - lowest_m3 - surely * sd_m3 : 0;
  return bend === undefined ? { line_m3, under_m3 } : { line_m3, under_m3, bend: bend.bend };
}

function bendOf(t: Float64Array, y: Float64Array) {
  const [from_s, to_s] = [t[0] as number, t[t.length - 1] as number];
  const [middle_s, half_s] = [(from_s + to_s) / 2, (to_s - from_s) / 2];
  const parabola = fitCurve({ t, y, weight: new Float64Array(t.length).fill(1), count: t.length }, 2);
  if (parabola === undefined || parabola.degree < 2) return undefined;
  const { valueAt } = parabola;
  const [before_m3, after_m3] = [valueAt(from_s), valueAt(to_s)];
  const slope_m3s = (after_m3 - before_m3) / (2 * half_s);
  const bend_m3s2 = (after_m3 + before_m3 - 2 * valueAt(middle_s)) / (2 * half_s * half_s);
  return { valueAt, bend: { slope_m3s, bend_m3s2, middle_s, half_s } };
}

export const remembered = 40;
export const latest = 12;
/** Rests of one leak begin at one volume, and so many of them show it. */
export const fewestShow = 3;
const mostSpread = 0.3;
const likeIt = 0.15;
const likeIt_m3 = 0.7e-3;
/** None shows much more than the others. */
const farMore = 1.6;

export function rememberBeginning({ rests }: SeldomReturnState, of: RestBeginning): void {
  rests.push(of);
  if (rests.length > remembered) rests.shift();
}

/** Whether more comes back between readings than a closing valve lets through. */
export function leaksBetween(state: SeldomReturnState): boolean {
  return seldomReturn_m3(state) > more_m3;
}

/** No less than this comes back after every stop, m³; 0 where nothing shows it. */
export function seldomReturn_m3({ rests }: SeldomReturnState): number {
  if (rests.length < latest) return 0;
  // A bend only ever takes from what a rest shows.
  if (rests.filter(({ under_m3 }) => under_m3 > more_m3).length < fewestShow) return 0;
  const usual = slowingOf(rests);
  // A storm of the ground's water makes it slow the more from rest to rest: as those about each of them do.
  const straight = rests.map((rest, i) => {
    const from = Math.min(Math.max(0, i - (latest >> 1)), rests.length - latest);
    const slowing = slowingOf(rests.slice(from, from + latest)) ?? usual;
    return slowing === null ? rest : lessItsBend(rest, slowing);
  });
  const lines = straight
    .slice(-latest)
    .map(({ line_m3 }) => line_m3)
    .sort((a, b) => a - b);
  const quarter = latest >> 2;
  const middle_m3 = lines[latest >> 1] as number;
  const spread_m3 = (lines[latest - 1 - quarter] as number) - (lines[quarter] as number);
  const show = straight
    .filter(({ line_m3, under_m3 }) => Math.abs(line_m3 - middle_m3) < Math.max(likeIt_m3, likeIt * under_m3))
    .map(({ under_m3 }) => under_m3)
    .sort((a, b) => b - a);
  const least_m3 = show[fewestShow - 1] ?? 0;
  return spread_m3 < mostSpread * least_m3 && (show[0] ?? 0) < farMore * least_m3 ? least_m3 : 0;
}

/** A mean bend so many times as large as its standard error is none of the noise. */
const clearlyBent = 3;

/** Coefficients of the time's square and third power. */
interface Slowing {
  readonly second_m3s2: number;
  readonly third_m3s3: number;
}

/**
 * How the inflow slows as the basin fills, where the rests bend all alike: it goes with what is missing to the ground's
 * level, dV/dt = k·(V_ground − V), so that slope and bend give k, and with it the third power. Null where they do not.
 */
function slowingOf(rests: readonly RestBeginning[]): Slowing | null {
  const bends = rests.flatMap(({ bend }) => (bend === undefined ? [] : [bend]));
  if (bends.length < latest) return null;
  const mean = (of: (bend: CourseBend) => number) => bends.reduce((sum, bend) => sum + of(bend), 0) / bends.length;
  const second_m3s2 = mean((of) => of.bend_m3s2);
  const variance = mean((of) => (of.bend_m3s2 - second_m3s2) ** 2) / (bends.length - 1);
  const slope_m3s = mean((of) => of.slope_m3s);
  if (!(second_m3s2 < -clearlyBent * Math.sqrt(variance)) || !(slope_m3s > 0)) return null;
  const slowing_1s = (-2 * second_m3s2) / slope_m3s;
  return { second_m3s2, third_m3s3: (slope_m3s * slowing_1s ** 2) / 6 };
}

/** A line through a later part of such a rest lies over its course at the stop: more has come in before. */
function lessItsBend(rest: RestBeginning, { second_m3s2, third_m3s3 }: Slowing): RestBeginning {
  if (rest.bend === undefined) return rest;
  const { middle_s, half_s } = rest.bend;
  // Least squares over ±half: of a parabola the line takes a third of its height, of a third power three fifths as its slope.
  const over_m3 =
    -second_m3s2 * (middle_s ** 2 - half_s ** 2 / 3) + third_m3s3 * middle_s * (middle_s ** 2 - 0.6 * half_s ** 2);
  return { ...rest, line_m3: rest.line_m3 - over_m3, under_m3: rest.under_m3 - over_m3 };
}

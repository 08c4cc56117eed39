// Inflow between runs of which a contact that is asked seldom sees but some: of the cycles from one seen run to the next
// there is a whole number, each as likely to go unseen as its run is brief. Bayes' rule on a grid of inflow and length of
// run, there and back (forward-backward).

import { lostInSpinUp_s } from "../../pump-flow/fit-run.ts";

export interface BetweenSeen {
  /** Between each seen run and the next, and the standard deviation of each. */
  readonly flow_m3s: readonly number[];
  readonly u_m3s: readonly number[];
  /** How long the pump runs while nothing comes in, and its standard deviation. */
  readonly briefest_s: number;
  readonly uBriefest_s: number;
}

export interface SeenRun {
  /** The middle of the readings that said 'runs', and how many those were. */
  readonly at_s: number;
  readonly readings: number;
}

/** What is known of the length of a run beforehand, its logarithm taken as normal. */
export interface LengthOfRun {
  readonly length_s: number;
  /** Standard deviation of the logarithm. */
  readonly uLog: number;
}

/** Inflows tried: so close together, and so that a cycle lasts from little over an interval to days. */
const spacing = 0.012;
const shortestCycle = 1.3;
const longestCycle_s = 5 * 86_400;
/** A cycle's scatter (`uCycle`) several times. */
const longestOfGap = 1.1;
/** Lengths of run tried where nothing is known of it, as shares of the interval, evenly over their logarithm. */
const lengths = 8;
const shortestRun = 0.1;
const longestRun = 1.3;
const apart = Math.log(longestRun / shortestRun) / (lengths - 1);
/** … and where something is: so many standard deviations off. */
const offsets = [-3, -2, -1, 0, 1, 2, 3] as const;
/** Cycles scatter by such a share with their floats, as where levels tell of them. */
const uCycle = 0.02;
/** So many intervals of scatter hide whether cycles are in step with the readings. */
const scattered = 0.4;
/**
 * Logarithm of the inflow: how it wanders in an hour and, one time in ten, goes quickly. As often it is another altogether: a
 * household's taps come and go from one run to the next. Judgement, no source.
 */
const wanders = 0.1;
const goes = 1;
const goesShare = 0.1;
const leap = 0.1;
/** A grid shows no narrower a spread than this share of its spacing. */
const finest = 0.5;

/**
 * @param seen     runs, three or more, in order
 * @param interval_s between two readings
 * @param active_m3 filled by each rest
 * @param usual    null: nothing is known of how long runs last but that a reading sees hardly one twice
 */
export function betweenSeenRuns(
  seen: readonly SeenRun[],
  interval_s: number,
  active_m3: number,
  usual: LengthOfRun | null,
): BetweenSeen {
  const gaps_s = seen.slice(1).map(({ at_s }, i) => at_s - (seen[i] as SeenRun).at_s);
  // From one seen run to the next goes one cycle at least.
  const longest_s = Math.min(longestCycle_s, longestOfGap * Math.max(...gaps_s) + 2 * interval_s);
  const flows = Math.ceil(Math.log(longest_s / (shortestCycle * interval_s)) / spacing);
  const tried = runsTried(interval_s, usual);
  const cells = flows * tried.length;
  const grid = gridOf(
    flows,
    tried.map(({ length_s }) => length_s),
    interval_s,
    active_m3,
  );
  const forward = gaps_s.map(() => new Float64Array(cells));
  const now = Float64Array.from({ length: cells }, (_, c) => tried[Math.floor(c / flows)]?.prior ?? 0);
  const gaps = gaps_s.map((length_s, i) => ({
    length_s,
    longestRun_s: longestRun_s(seen[i] as SeenRun, seen[i + 1] as SeenRun, interval_s),
  }));
  const likely = likelihoods(gaps, interval_s, grid);
  gaps_s.forEach((gap_s, i) => {
    multiply(now, likely[i] as Float64Array);
    (forward[i] as Float64Array).set(now);
    spread(now, flows, Math.sqrt((gap_s + (gaps_s[i + 1] ?? gap_s)) / 7200));
  });
  now.fill(1);
  const [flow_m3s, u_m3s]: [number[], number[]] = [[], []];
  const ofRun = new Float64Array(tried.length);
  for (let i = gaps_s.length - 1; i >= 0; i -= 1) {
    const known = forward[i] as Float64Array;
    let [sum, mean, square] = [0, 0, 0];
    for (let c = 0; c < cells; c += 1) {
      const p = (known[c] as number) * (now[c] as number);
      const q = grid.inflow_m3s[c] as number;
      sum += p;
      mean += p * q;
      square += p * q * q;
      if (i === 0) ofRun[Math.floor(c / flows)] = (ofRun[Math.floor(c / flows)] as number) + p;
    }
    mean /= sum;
    flow_m3s[i] = mean;
    u_m3s[i] = Math.hypot(Math.sqrt(Math.max(0, square / sum - mean * mean)), finest * spacing * mean);
    multiply(now, likely[i] as Float64Array);
    spread(now, flows, Math.sqrt(((gaps_s[i] as number) + (gaps_s[i - 1] ?? 0)) / 7200));
  }
  let [sum, mean, square] = [0, 0, 0];
  ofRun.forEach((p, j) => {
    const run_s = tried[j]?.length_s ?? 0;
    sum += p;
    mean += p * run_s;
    square += p * run_s * run_s;
  });
  mean /= sum;
  const uBriefest_s = Math.hypot(Math.sqrt(Math.max(0, square / sum - mean * mean)), finest * apart * mean);
  return { flow_m3s, u_m3s, briefest_s: mean, uBriefest_s };
}

/** By a pump that takes so long to empty what lies between the floats while nothing comes in. */
export function moved_m3s(active_m3: number, run_s: number): number {
  return active_m3 / Math.max(run_s / 2, run_s - lostInSpinUp_s);
}

function runsTried(interval_s: number, usual: LengthOfRun | null) {
  if (usual === null)
    return Array.from({ length: lengths }, (_, j) => ({
      length_s: interval_s * shortestRun * Math.exp(j * apart),
      prior: 1,
    }));
  return offsets.map((off) => ({
    length_s: usual.length_s * Math.exp(off * usual.uLog),
    prior: Math.exp((-off * off) / 2),
  }));
}

interface Grid {
  /** Per cell, length by length. */
  readonly inflow_m3s: Float64Array;
  readonly cycle_s: Float64Array;
  readonly ran_s: Float64Array;
}

function gridOf(flows: number, runs_s: readonly number[], interval_s: number, active_m3: number): Grid {
  const cells = flows * runs_s.length;
  const grid: Grid = {
    inflow_m3s: new Float64Array(cells),
    cycle_s: new Float64Array(cells),
    ran_s: new Float64Array(cells),
  };
  runs_s.forEach((run_s, j) => {
    const moves_m3s = moved_m3s(active_m3, run_s);
    for (let k = 0; k < flows; k += 1) {
      const c = j * flows + k;
      const rest_s = shortestCycle * interval_s * Math.exp(spacing * k);
      const q = active_m3 / rest_s;
      // A pump that is overtaken has no cycles.
      const ran_s = q < moves_m3s ? run_s / (1 - q / moves_m3s) : Number.POSITIVE_INFINITY;
      grid.inflow_m3s[c] = q;
      grid.ran_s[c] = ran_s;
      grid.cycle_s[c] = rest_s + ran_s;
    }
  });
  return grid;
}

/** A run that lasts longer is seen by one reading more. */
function longestRun_s(one: SeenRun, next: SeenRun, interval_s: number): number {
  return (Math.max(one.readings, next.readings) + 1) * interval_s;
}

interface Gap {
  readonly length_s: number;
  readonly longestRun_s: number;
}

/**
 * Of each gap, cell by cell: of the whole numbers of cycles those two that come nearest. Readings come by the clock, so
 * that where in a cycle they fall tells which of the runs between would have been seen.
 */
function likelihoods(gaps: readonly Gap[], interval_s: number, { cycle_s, ran_s }: Grid): Float64Array[] {
  const into = gaps.map(() => new Float64Array(cycle_s.length));
  const longest_s = Math.max(...gaps.map(({ length_s }) => length_s));
  const mostRan_s = Math.max(...gaps.map(({ longestRun_s }) => longestRun_s));
  // Up to each run after one that was seen, whether those between all go unseen.
  const unseen = new Float64Array(Math.ceil(longest_s / (shortestCycle * interval_s)) + 2);
  for (let c = 0; c < cycle_s.length; c += 1) {
    const cycle = cycle_s[c] as number;
    const ran = ran_s[c] as number;
    if (!(ran <= mostRan_s)) continue;
    const sees = Math.min(1, ran / interval_s);
    // Until cycles have scattered so far that any reading may have come in any of them.
    const inStep = Math.floor((scattered * interval_s) / (uCycle * cycle)) ** 2;
    const last = Math.floor(longest_s / cycle) + 1;
    unseen[1] = 1;
    for (let m = 1; m < last; m += 1) {
      const near = (m * cycle) % interval_s;
      const seen = m > inStep ? sees : seenAt(Math.min(near, interval_s - near), m, cycle, ran, interval_s);
      unseen[m + 1] = (unseen[m] as number) * (1 - seen);
    }
    for (let i = 0; i < gaps.length; i += 1) {
      const { length_s, longestRun_s } = gaps[i] as Gap;
      // The flow from one seen run to the next is that of either of them.
      if (!(ran <= longestRun_s)) continue;
      const most = Math.floor(length_s / cycle) + 1;
      let sum = 1e-9;
      for (let m = Math.max(1, most - 1); m <= most; m += 1)
        sum += (unseen[m] as number) * seenAt(length_s - m * cycle, m, cycle, ran, interval_s);
      (into[i] as Float64Array)[c] = sum;
    }
  }
  return into;
}

/** Less than a millionth of a millionth is nothing beside what any cell has. */
const tooFar = 55;

/**
 * Whether a reading sees a run `m` cycles after one that was seen: it would come so far off where that one was read. Read
 * somewhere within either run (uniform: GUM 4.3.7).
 */
function seenAt(off_s: number, m: number, cycle_s: number, ran_s: number, interval_s: number): number {
  const within_s = Math.min(ran_s, interval_s);
  const variance = within_s ** 2 / 6 + uCycle ** 2 * cycle_s ** 2 * m;
  if (off_s * off_s > tooFar * variance) return 0;
  return Math.min(1, (within_s * Math.exp((-off_s * off_s) / (2 * variance))) / Math.sqrt(2 * Math.PI * variance));
}

function multiply(now: Float64Array, by: Float64Array): void {
  let sum = 0;
  for (let c = 0; c < now.length; c += 1) {
    const value = (now[c] as number) * (by[c] as number);
    now[c] = value;
    sum += value;
  }
  if (sum > 0) for (let c = 0; c < now.length; c += 1) now[c] = (now[c] as number) / sum;
  else now.fill(1 / now.length);
}

/** The inflow changes: mostly it wanders, at times it goes far, and now and then it is another altogether. */
function spread(now: Float64Array, flows: number, rootHours: number): void {
  const narrow = boxOf(wanders * rootHours);
  const wide = boxOf(goes * Math.min(1, rootHours));
  const [sums, near, far] = [new Float64Array(flows + 1), new Float64Array(flows), new Float64Array(flows)];
  for (let j = 0; j < now.length / flows; j += 1) {
    const part = now.subarray(j * flows, (j + 1) * flows);
    // Three boxes one after the other are about a normal distribution.
    box(part, wide, sums, far);
    box(part, narrow, sums, near);
    box(near, narrow, sums, near);
    box(near, narrow, sums, near);
    let sum = 0;
    for (let k = 0; k < flows; k += 1) sum += part[k] as number;
    for (let k = 0; k < flows; k += 1)
      part[k] = (1 - goesShare - leap) * (near[k] as number) + goesShare * (far[k] as number) + (leap * sum) / flows;
  }
}

/** Half the width in cells of each of three boxes that spread by so much of a logarithm together. */
function boxOf(sd: number): number {
  return Math.max(1, Math.round(sd / spacing));
}

/** Mean over so many cells on either side; what would leave the grid stays at its end. `into` may be the same. */
function box(values: Float64Array, half: number, sums: Float64Array, into: Float64Array): void {
  const n = values.length;
  for (let k = 0; k < n; k += 1) sums[k + 1] = (sums[k] as number) + (values[k] as number);
  const width = 2 * half + 1;
  const [first, last] = [values[0] as number, values[n - 1] as number];
  for (let k = 0; k < n; k += 1) {
    const [from, to] = [k - half, k + half + 1];
    const beyond = Math.max(0, -from) * first + Math.max(0, to - n) * last;
    into[k] = ((sums[Math.min(n, to)] as number) - (sums[Math.max(0, from)] as number) + beyond) / width;
  }
}

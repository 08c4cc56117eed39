// What is derived, as points: cycles, findings, inflow and inflow joined by ten minutes, some of each, in the order of
// their beginnings.

import type { InflowStretch } from "../../analysis/analyzer.ts";
import { cyclePoint, findingPoint, inflowPoint, joinedInflowPoint, type Point } from "../stores/influx/points.ts";
import { type Span, type Store, singleAlone } from "../stores/store.ts";
import { joinInflow } from "../stores/thin-inflow.ts";
import type { Derived } from "./changes.ts";
import { nextWindow } from "./window.ts";

export interface DerivedLimits {
  /** By kind: what begins before is there; and up to before when it may be sent. */
  readonly from: Readonly<Record<Derived, number>>;
  readonly to: Readonly<Record<Derived, number>>;
  /** Of each kind not many more than so many. */
  readonly most: number;
  /** What begins before is left out. */
  readonly earliest_s: number;
  /** Up to then the database may hold what is not in the record any more; null when it does not. */
  readonly eraseTo_s: number | null;
  /** What lies in there is left in the database: the record has nothing of that time. */
  readonly spared: Span | null;
}

/** Points of a measurement from one time up to before another. */
export interface Erase extends Span {
  readonly measurement: Point["measurement"];
}

export interface DerivedRound {
  readonly points: readonly Point[];
  readonly erase: readonly Erase[];
  readonly reached: Record<Derived, number>;
}

const part_s = 600;
const day_s = 86_400;
const all = Number.MAX_SAFE_INTEGER;

export function derivedRound(
  store: Pick<Store, "span" | "cycles" | "findings" | "inflow">,
  basin: string,
  { from, to, most, earliest_s, eraseTo_s, spared }: DerivedLimits,
): DerivedRound {
  const span = store.span() ?? { from_s: 0, to_s: 0 };
  const windowOf = <T>(kind: Derived, read: (span: Span) => readonly T[], begin_s: (record: T) => number) => {
    const found = nextWindow({ read, begin_s, from_s: from[kind], to_s: to[kind], span, most });
    return { ...found, records: found.records.filter((record) => begin_s(record) >= earliest_s) };
  };
  const cycles = windowOf(
    "cycle",
    (within) => store.cycles(within, all),
    (cycle) => cycle.startedAt_s,
  );
  const findings = windowOf(
    "finding",
    (within) => store.findings(within, all),
    (finding) => finding.from_s,
  );
  const inflow = windowOf(
    "inflow",
    (within) => store.inflow(inside(within, span), singleAlone),
    (stretch) => stretch.from_s,
  );
  const joined = joinedInflow(store, from.inflow, inflow.reached_s, inflow.records.length, span);

  const reached = { cycle: cycles.reached_s, finding: findings.reached_s, inflow: inflow.reached_s };
  const erase = [
    ...(["cycle", "finding", "inflow"] as const).map((kind) => ({ kind, measurement: kind })),
    { kind: "inflow", measurement: "inflow_10m" } as const,
  ]
    .map(({ kind, measurement }) => ({ measurement, from_s: from[kind], to_s: reached[kind] }))
    .filter(({ from_s, to_s }) => eraseTo_s !== null && from_s <= eraseTo_s && from_s < to_s)
    .flatMap((one) => outside(one, spared));
  return {
    points: [
      ...cycles.records.map((cycle) => cyclePoint(basin, cycle)),
      ...findings.records.map((finding) => findingPoint(basin, finding)),
      ...inflow.records.map((stretch) => inflowPoint(basin, stretch)),
      ...joined.filter((stretch) => stretch.from_s >= earliest_s).map((stretch) => joinedInflowPoint(basin, stretch)),
    ],
    erase,
    reached,
  };
}

/**
 * Of the parts of time that the window touches, from the beginning of the first of them. Where the single ones have been
 * dropped for their age, the joined ones that the store keeps.
 */
function joinedInflow(
  store: Pick<Store, "inflow">,
  from_s: number,
  to_s: number,
  singles: number,
  record: Span,
): InflowStretch[] {
  const begin_s = Math.floor(Math.max(from_s, record.from_s) / part_s) * part_s;
  const end_s = Math.min(to_s, record.to_s + 1);
  if (!(begin_s < end_s) || (singles === 0 && end_s - begin_s < part_s)) return [];
  const within = { from_s: begin_s, to_s: end_s };
  const single = store.inflow(within, singleAlone).filter(beginsIn(within));
  const firstSingle_s = Math.floor((single[0]?.from_s ?? end_s) / part_s) * part_s;
  const old = firstSingle_s <= begin_s ? [] : store.inflow(within, Math.floor((end_s - begin_s) / (part_s / 2)));
  return [
    ...old.filter((stretch) => stretch.from_s >= begin_s && stretch.from_s < firstSingle_s),
    ...joinInflow(single, 0, part_s),
  ];
}

/** Asked for all time, the store would give joined ones. */
function inside({ from_s, to_s }: Span, record: Span): Span {
  return { from_s: Math.max(from_s, record.from_s - day_s), to_s: Math.min(to_s, record.to_s + day_s) };
}

function outside(erase: Erase, spared: Span | null): Erase[] {
  if (spared === null) return [erase];
  const before = { ...erase, to_s: Math.min(erase.to_s, spared.from_s) };
  const after = { ...erase, from_s: Math.max(erase.from_s, spared.to_s) };
  return [before, after].filter(({ from_s, to_s }) => from_s < to_s);
}

function beginsIn({ from_s, to_s }: Span): (stretch: InflowStretch) => boolean {
  return (stretch) => stretch.from_s >= from_s && stretch.from_s < to_s;
}

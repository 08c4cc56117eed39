// A discharge as the water meets it: lengths of pipe, one after the other, each with the fittings that count on it.
// What all that loses at a flow is path-loss.ts's.

import type { DischargeSite, FittingKind, FittingSite, PipeSection } from "../site.ts";
import { changeOfBore, onBore } from "./change-of-bore.ts";
import { fittingLabel, fittingLoss, isTabled, uLossCoefficient } from "./fitting-loss.ts";
import { bySite, type PipeBore, pipeBore } from "./pipe-table.ts";

export interface PathFitting {
  readonly kind: FittingKind;
  readonly label: string;
  readonly count: number;
  /** Of one, on the velocity head in `bore_m`. */
  readonly k: number;
  /** Standard uncertainty; null where the site gives K, and nothing was stated of it. */
  readonly uK: number | null;
  readonly bore_m: number;
  readonly source: string;
  /** False: the site file does not list it, it follows from the rest. */
  readonly listed: boolean;
}

export interface PathLength {
  /** `riser`: of one pump alone; `pipe`: what the site file calls so; `further`: a further size. */
  readonly role: "riser" | "pipe" | "further";
  readonly bore: PipeBore;
  readonly length_m: number;
  readonly fittings: readonly PathFitting[];
  /** Sum over the fittings, on the velocity head of the length's own bore. */
  readonly lossCoefficient: number;
}

/** Of a change of bore, as a share: a tapered one may lose next to nothing, a sudden one all of K (GUM 4.3.7, about the end). */
const uChange = 1 / Math.sqrt(3);

/** Bores whose areas are closer than this share lose nothing that counts. */
const sameArea = 0.01;

/**
 * The lengths from the pump on duty to where the water leaves.
 *
 * Where the bore changes from one length to the next, a sudden change is counted, unless the length before it lists a
 * `reducer` or an `enlargement`, which then stands for it. No change is counted where a riser meets the common pipe: there
 * a tee is to be listed. The velocity head that leaves is counted once, unless an `exit` is listed.
 *
 * @throws {RangeError} on a pipe that is not in the table, or a fitting whose coefficient nothing tells
 */
export function dischargePath(discharge: DischargeSite): readonly PathLength[] {
  const riser = discharge.risers?.[0] ?? null;
  const sections: readonly (readonly [PathLength["role"], PipeSection])[] = [
    ...(riser === null ? [] : [["riser", riser] as const]),
    ["pipe", discharge],
    ...(discharge.further ?? []).map((section) => ["further", section] as const),
  ];
  const exitListed = sections.some(([, { fittings }]) =>
    fittings.some(({ kind, count }) => kind === "exit" && count > 0),
  );
  return sections.map(([role, { pipe, fittings }], i) => {
    const bore = pipeBore(pipe);
    const next = role === "riser" ? undefined : sections[i + 1]?.[1].pipe;
    const next_m = next === undefined ? null : pipeBore(next).insideDiameter_m;
    const last = i === sections.length - 1;
    const lines = [
      ...fittings.map((fitting) => pathFitting(fitting, bore.insideDiameter_m, next_m)),
      ...changeToNext(fittings, bore.insideDiameter_m, next_m),
      ...(last && !exitListed
        ? [{ ...pathFitting({ kind: "exit", count: 1 }, bore.insideDiameter_m, null), listed: false }]
        : []),
    ];
    const lossCoefficient = lines.reduce(
      (sum, { count, k, bore_m }) =>
        sum + count * (bore_m === bore.insideDiameter_m ? k : onBore(k, bore_m, bore.insideDiameter_m)),
      0,
    );
    return { role, bore, length_m: pipe.length_m, fittings: lines, lossCoefficient };
  });
}

/** The discharge as the other of two pumps meets it: its own riser first. */
export function ofSecondPump(discharge: DischargeSite): DischargeSite {
  if (discharge.risers === undefined) return discharge;
  const [first, second] = discharge.risers;
  return { ...discharge, risers: [second, first] };
}

/** What the pipe holds from the pump to where the water leaves, m³. */
export function pathVolume_m3(discharge: DischargeSite): number {
  return dischargePath(discharge).reduce(
    (sum, { bore, length_m }) => sum + (Math.PI / 4) * bore.insideDiameter_m ** 2 * length_m,
    0,
  );
}

function pathFitting(fitting: FittingSite, own_m: number, next_m: number | null): PathFitting {
  const { kind, count } = fitting;
  const given = { kind, count, label: fittingLabel(kind), bore_m: own_m, listed: true };
  if (fitting.lossCoefficient != null) return { ...given, k: fitting.lossCoefficient, uK: null, source: bySite };
  if (isTabled(kind)) {
    const loss = fittingLoss(kind);
    return { ...given, k: loss.k, uK: uLossCoefficient(loss), source: loss.source };
  }
  const other_m = fitting.otherBore_m ?? (kind === "other" ? null : next_m);
  if (other_m === null || kind === "other") throw new RangeError(`dischargePath: ${kind} has no k and no other bore`);
  const [narrow_m, wide_m] = [Math.min(own_m, other_m), Math.max(own_m, other_m)];
  const { k, source } = kind === "reducer" ? changeOfBore(wide_m, narrow_m) : changeOfBore(narrow_m, wide_m);
  return { ...given, k, uK: k * uChange, source, bore_m: narrow_m };
}

function changeToNext(fittings: readonly FittingSite[], own_m: number, next_m: number | null): PathFitting[] {
  if (next_m === null) return [];
  const share = (Math.min(own_m, next_m) / Math.max(own_m, next_m)) ** 2;
  const listed = fittings.some(
    ({ kind, otherBore_m }) => (kind === "reducer" || kind === "enlargement") && otherBore_m == null,
  );
  if (listed || 1 - share < sameArea) return [];
  const kind = next_m < own_m ? "reducer" : "enlargement";
  const { k, source } = changeOfBore(own_m, next_m);
  return [
    {
      kind,
      label: fittingLabel(kind),
      count: 1,
      k,
      uK: k * uChange,
      source,
      bore_m: Math.min(own_m, next_m),
      listed: false,
    },
  ];
}

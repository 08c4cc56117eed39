// The record as a queue: what of it is to be sent next, and up to where it has been taken. Nothing is written twice: the
// store has it all, and the queue remembers a place in it.

import type { Reading } from "../../analysis/readings/reading.ts";
import type { Point } from "../stores/influx/points.ts";
import type { ForwardPlace, Store } from "../stores/store.ts";
import type { Derived } from "./changes.ts";
import { derivedRound, type Erase } from "./derived-round.ts";
import { beginning, loadPlace, readingsState } from "./forward-place.ts";
import { type TakenReadings, takeSome } from "./take-readings.ts";

export interface Round {
  /** To be taken out before the points are written. */
  readonly erase: readonly Erase[];
  readonly points: readonly Point[];
  readonly readings: number;
  /** Nothing more may be sent for now. */
  readonly isLast: boolean;
  /** All of it is in the database. */
  commit(): void;
}

export interface RecordQueue {
  changed(kind: Derived, begin_s: number): void;
  /** Null when nothing may be sent. */
  next(limits: Limits): Round | null;
  /** To be called every second or so: keeps the place within a record that may lose readings. */
  look(): void;
  /** Everything from the first reading on, as to a database that has nothing. */
  startAnew(): void;
  lag(): Lag;
}

export interface Limits {
  /** So many readings, and a fraction of it of each other kind. */
  readonly most: number;
  /** Readings from before are no readings of this board's time: its clock was not set yet. */
  readonly earliest_s: number;
  /** Later ones wait. */
  readonly latest_s: number;
}

export interface Lag {
  readonly waiting: number;
  /** Nothing that is not there yet began earlier; null when all is there. */
  readonly oldest_s: number | null;
  /** Readings that were dropped for their age before they could be sent. */
  readonly dropped: number;
  /** Those from before the board's clock was set, which stay on the card alone. */
  readonly unclocked: number;
  /** Time of the next reading where that is later than it may be. */
  readonly ahead_s: number | null;
}

type QueueStore = Pick<
  Store,
  "forward" | "readings" | "readingCount" | "span" | "cycles" | "findings" | "inflow" | "putBack"
>;

/** A change that was derived from readings which do not outlive the process yet. */
interface Unsure {
  readonly kind: Derived;
  readonly begin_s: number;
  readonly readings: number;
}

const toKey = { cycle: "cyclesTo_s", finding: "findingsTo_s", inflow: "inflowTo_s" } as const;
const kinds = ["cycle", "finding", "inflow"] as const satisfies Derived[];

/** @param target names the database and the basin in it: a place in another one counts for nothing */
export function recordQueue(store: QueueStore, basin: string, target: string): RecordQueue {
  let place = loadPlace(store, target);
  /** Put back from a copy, the record has nothing of this time, and the database may have it. */
  const missing = store.putBack();
  let anewTo_s = place.anewFrom_s === null ? null : (store.span()?.to_s ?? null);
  /** Since a round was taken: from when on a kind has changed, and how few readings there were. */
  let since: { readonly changed: Partial<Record<Derived, number>>; last: number } | null = null;
  let unsure: Unsure[] = [];
  let stream: { readonly from: number; readonly iterator: Iterator<Reading> } | null = null;
  let [dropped, unclocked] = [0, 0];
  let ahead_s: number | null = null;
  save(place);

  function save(next: ForwardPlace): void {
    place = next;
    store.forward.savePlace(place);
  }

  function lower(kind: Derived, begin_s: number): void {
    const key = toKey[kind];
    if (begin_s < place[key]) save({ ...place, [key]: begin_s });
    if (since !== null) since.changed[kind] = Math.min(since.changed[kind] ?? begin_s, begin_s);
  }

  function look(): void {
    const kept = store.forward.kept();
    if (since !== null) since.last = Math.min(since.last, kept.last);
    const readings = Math.min(Math.max(place.readings, kept.dropped), kept.last);
    if (readings > place.readings) dropped += readings - place.readings;
    if (readings !== place.readings) save({ ...place, readings });
    unsure = unsure.filter((change) => change.readings > kept.last);
  }

  /** Up to before which a kind may be sent, where its readings have been sent up to `reached_s`. */
  function bound(kind: Derived, reached_s: number): number {
    return unsure.reduce((to_s, change) => (change.kind === kind ? Math.min(to_s, change.begin_s) : to_s), reached_s);
  }

  function takeReadings(limits: Limits): TakenReadings {
    if (stream?.from !== place.readings) {
      stream = { from: place.readings, iterator: store.readings(place.readings)[Symbol.iterator]() };
    }
    const { iterator } = stream;
    const most = Math.min(limits.most, store.forward.kept().last - place.readings);
    const found = takeSome(iterator, basin, readingsState(place), { ...limits, most }, missing);
    ahead_s = found.ahead_s;
    // One that has given a reading which is not taken is not gone on with, nor one that is done.
    const isWhole = found.taken === most && found.ahead_s === null;
    stream = isWhole && most === limits.most ? { from: place.readings + most, iterator } : null;
    return found;
  }

  return {
    changed(kind, begin_s) {
      lower(kind, begin_s);
      unsure.push({ kind, begin_s, readings: store.readingCount() });
    },
    look,
    startAnew() {
      save(beginning(store, target));
      anewTo_s = null;
      stream = null;
    },
    next(limits) {
      for (;;) {
        const round = take(limits);
        if (round.points.length + round.erase.length > 0) return round;
        const { readings } = place;
        round.commit(); // over readings that are not sent, and over time in which there is nothing
        if (place.readings === readings) return null;
      }
    },
    lag() {
      const waiting = Math.max(0, store.forward.kept().last - place.readings);
      const span = store.span();
      const begins_s = kinds.map((kind) => place[toKey[kind]]).filter((time_s) => span !== null && time_s <= span.to_s);
      if (waiting > 0) begins_s.push(readingsState(place).encoder?.last_s ?? Number.NEGATIVE_INFINITY);
      const has = span !== null && begins_s.length > 0;
      const oldest_s = has ? Math.max(Math.min(...begins_s), span.from_s) : null;
      return { waiting, oldest_s, dropped, unclocked, ahead_s };
    },
  };

  function take(limits: Limits): Round {
    look();
    since = { changed: {}, last: store.forward.kept().last };
    const before = place;
    const { points, taken, unclocked: left, after } = takeReadings(limits);
    const isAll = before.readings + taken >= store.forward.kept().last && ahead_s === null;
    const reached_s = isAll ? Number.POSITIVE_INFINITY : (after.encoder.last_s ?? Number.NEGATIVE_INFINITY);
    const to = {
      cycle: bound("cycle", reached_s),
      finding: bound("finding", reached_s),
      inflow: bound("inflow", reached_s),
    };
    const derived = derivedRound(store, basin, {
      from: { cycle: before.cyclesTo_s, finding: before.findingsTo_s, inflow: before.inflowTo_s },
      to,
      most: Math.max(1, Math.floor(limits.most / 5)),
      earliest_s: limits.earliest_s,
      eraseTo_s: anewTo_s,
      spared: missing,
    });
    return {
      erase: derived.erase,
      points: [...points, ...derived.points],
      readings: taken - left,
      isLast: (isAll || ahead_s !== null) && kinds.every((kind) => derived.reached[kind] >= to[kind]),
      commit() {
        look();
        unclocked += left;
        const last = since?.last ?? before.readings;
        const reached = { ...derived.reached };
        for (const kind of kinds) reached[kind] = Math.min(reached[kind], since?.changed[kind] ?? reached[kind]);
        since = null;
        const isDone = anewTo_s !== null && kinds.every((kind) => derived.reached[kind] > (anewTo_s ?? 0));
        if (isDone) anewTo_s = null;
        save({
          ...place,
          // What the store has lost meanwhile does not count, nor what it has dropped.
          readings: Math.max(store.forward.kept().dropped, Math.min(before.readings + taken, last)),
          state: JSON.stringify(after),
          cyclesTo_s: reached.cycle,
          findingsTo_s: reached.finding,
          inflowTo_s: reached.inflow,
          anewFrom_s: isDone ? null : place.anewFrom_s,
        });
      },
    };
  }
}

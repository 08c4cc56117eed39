// Places of forwarding that are not in the file yet. The file takes the newest of them that counts no reading beyond its
// own; in the others of its figures there is no such bound.

import type { ForwardPlace } from "../store.ts";

export interface RecentPlaces {
  add(place: ForwardPlace): void;
  newest(): ForwardPlace | null;
  /** The newest, with what was true of the readings when they were `written` or fewer; null when none was added since. */
  upTo(written: number): ForwardPlace | null;
  /** The file has what `upTo` gave. */
  written(): void;
  /** What the file has holds. */
  clear(): void;
}

/** So many readings lie between two places that are remembered: a start goes through no more than that again. */
const apart = 1000;

export function recentPlaces(): RecentPlaces {
  let places: ForwardPlace[] = []; // oldest first; of the last, everything holds
  let isNew = false;
  return {
    add(place) {
      const [last, before] = [places.at(-1), places.at(-2)];
      if (last?.target !== place.target || place.readings < last.readings) places = [];
      else if (before !== undefined && last.readings - before.readings < apart) places.pop();
      places.push(place);
      isNew = true;
    },
    newest: () => places.at(-1) ?? null,
    upTo(written) {
      const newest = places.at(-1);
      const fits = places.findLastIndex(({ readings }) => readings <= written);
      const place = places[fits];
      if (!isNew || newest === undefined || place === undefined) return null;
      places = places.slice(fits);
      return { ...newest, readings: place.readings, state: place.state };
    },
    written() {
      isNew = false;
    },
    clear() {
      places = [];
      isNew = false;
    },
  };
}

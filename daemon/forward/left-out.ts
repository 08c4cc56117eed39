// What is not in the database and will not be, or not yet: counted, logged when it begins and each time that there is ten
// times as much of it, and said in a sentence each.

import { iso } from "../../analysis/report/summarize.ts";
import type { Lag } from "./record-queue.ts";
import type { Written } from "./write-points.ts";

export interface LeftOut {
  /** @param clockNote what is wrong with the clock */
  note(lag: Lag, clockNote: string | null): void;
  add(written: Written): void;
  notes(lag: Lag, clockNote: string | null): string[];
}

const ahead = "readings are ahead of the database's clock, and wait until it has come to them";
/** A record's times never go back: they carry on from its end, whatever the clock says after a start. */
const recordAhead = (time_s: number) =>
  `the record has run ahead of the clock: its next reading is of ${iso(time_s)}, and nothing is sent until then; begin another record (store.path), this one stays as it is`;

export function leftOut(log: (line: string) => void): LeftOut {
  const total = { tooOld: 0, unfit: 0 };
  const said = { dropped: 0, unclocked: 0, tooOld: 0, unfit: 0 };
  let saidAhead = false;

  function say(what: keyof typeof said, count: number, line: string): void {
    if (count === 0 || count < said[what] * 10) return;
    said[what] = count;
    log(`forward: ${line}`);
  }

  return {
    note(lag, clockNote) {
      say("dropped", lag.dropped, wordsFor.dropped(lag.dropped));
      say("unclocked", lag.unclocked, wordsFor.unclocked(lag.unclocked));
      const { ahead_s } = lag;
      if (ahead_s !== null && !saidAhead) {
        log(`forward: ${clockNote === null ? recordAhead(ahead_s) : `${ahead}: ${clockNote}`}`);
      }
      saidAhead = ahead_s !== null;
    },
    add({ tooOld, unfit, reason }) {
      total.tooOld += tooOld;
      total.unfit += unfit;
      say("tooOld", total.tooOld, wordsFor.tooOld(total.tooOld));
      if (reason !== null) say("unfit", total.unfit, `${wordsFor.unfit(total.unfit)}: ${reason}`);
    },
    notes({ dropped, unclocked, ahead_s }, clockNote) {
      const counts = { dropped, unclocked, ...total };
      const kinds = ["dropped", "unclocked", "tooOld", "unfit"] as const;
      const some = kinds.filter((kind) => counts[kind] > 0).map((kind) => wordsFor[kind](counts[kind]));
      if (ahead_s === null) return some;
      return [clockNote === null ? recordAhead(ahead_s) : ahead, ...some];
    },
  };
}

const wordsFor = {
  dropped: (n: number) => `${count(n, "reading")} had been dropped for their age before they could be sent`,
  unclocked: (n: number) =>
    `${count(n, "reading")} are of a time before this board's clock was set; they stay on the card alone`,
  tooOld: (n: number) => `${count(n, "point")} were older than the database keeps them; it has left them out`,
  unfit: (n: number) => `the database will not have ${count(n, "point")}; the card has them`,
};

function count(n: number, what: string): string {
  return `${n.toLocaleString("en")} ${what}${n === 1 ? "" : "s"}`;
}

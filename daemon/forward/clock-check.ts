// Which times may be sent, by the database's clock: a board without a battery clock may believe anything.

import { iso } from "../../analysis/report/summarize.ts";
import { durationInWords } from "../config/duration-in-words.ts";

export interface ClockCheck {
  /** @param date_s the database's clock; null where it did not say */
  heard(date_s: number | null): void;
  limits(): { readonly earliest_s: number; readonly latest_s: number };
  /** What is wrong with the clock, in a sentence; null when nothing is known to be. */
  note(): string | null;
}

/** Before, no board kept such a record: its clock had not been set yet. */
export const firstYear_s = Date.UTC(2020) / 1000;

/** Two clocks may differ by so much without harm; and by so much without a word. */
const mostAhead_s = 600;
const telling_s = 120;

/** What a database can stamp (1677 to 2255). */
const anyTime = { earliest_s: -9e9, latest_s: 9e9 };

/** @param now_s the board's clock; null where a recording or a simulation has a time of its own */
export function clockCheck(now_s: (() => number) | null): ClockCheck {
  let theirLead_s: number | null = null;
  return {
    heard(date_s) {
      if (now_s !== null && date_s !== null) theirLead_s = date_s - now_s();
    },
    limits() {
      if (now_s === null) return anyTime;
      return {
        earliest_s: firstYear_s,
        latest_s: theirLead_s === null ? anyTime.latest_s : now_s() + theirLead_s + mostAhead_s,
      };
    },
    note() {
      if (theirLead_s === null || now_s === null || Math.abs(theirLead_s) < telling_s) return null;
      const way = theirLead_s > 0 ? "behind" : "ahead of";
      const theirs = iso(now_s() + theirLead_s);
      // A record's times never go back: they carry on from its end, whatever the clock says after a start.
      const andRecord = theirLead_s > 0 ? "" : ", with another store.path where the record has run ahead, too";
      return `this board's clock is ${durationInWords(Math.abs(theirLead_s))} ${way} the database's, which says ${theirs}; set the wrong one right and start the daemon again${andRecord}`;
    },
  };
}

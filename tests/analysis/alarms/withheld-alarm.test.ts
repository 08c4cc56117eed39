// Shelved, suppressed by design, out of service, and back: ANSI/ISA-18.2 and IEC 62682 as open course documents give them
// (any state goes there; it comes back by un-shelving, the design's logic, the return to service). That what is true on the
// return is announced anew, and that what latched waits for a reset, is from memory.

import { describe, expect, it } from "vitest";
import type { AlarmBook } from "../../../analysis/alarms/alarm-book.ts";
import { createAlarmBook } from "../../../analysis/alarms/alarm-book.ts";
import { shownState } from "../../../analysis/alarms/alarm-record.ts";
import type { AlarmState, ProcessState, Withheld } from "../../../analysis/alarms/alarm-state.ts";
import { changedTable } from "../../../analysis/alarms/changed-table.ts";
import type { Finding } from "../../../analysis/findings/finding.ts";
import { finding, input } from "./alarm-input.ts";

const name = "pump-does-not-start";
const holds = finding("float-stuck-off", 0);
const cause = finding("power-lost", 0);

/** Each way to a state, as what is true at which time and who does what. */
const ways: Readonly<Record<ProcessState, (book: AlarmBook) => void>> = {
  normal: (book) => void book.update(input(100)),
  unacknowledged: (book) => void book.update(input(100, [holds])),
  acknowledged(book) {
    book.update(input(100, [holds]));
    book.acknowledge(name, "owner", 110);
  },
  "returned-to-normal-unacknowledged": overAfter(false),
  "latched-unacknowledged": overAfter(false),
  "latched-acknowledged": overAfter(true),
};

function overAfter(acknowledged: boolean): (book: AlarmBook) => void {
  return (book) => {
    book.update(input(100, [holds]));
    if (acknowledged) book.acknowledge(name, "owner", 110);
    book.update(input(120));
    book.update(input(200));
  };
}

/** Withholds at 300, and lets go at 1000; `findings` hold meanwhile and then. */
const withholding: Readonly<Record<Withheld, (book: AlarmBook, findings: readonly Finding[]) => AlarmState>> = {
  shelved(book, findings) {
    book.shelve(name, 1000, "owner", 300);
    book.update(input(400, findings));
    book.update(input(500, findings));
    const meanwhile = shownState(book.alarm(name));
    book.update(input(1000, findings));
    return meanwhile;
  },
  "out-of-service"(book, findings) {
    book.setInService(name, false, "owner", 300);
    book.update(input(400, findings));
    book.update(input(500, findings));
    const meanwhile = shownState(book.alarm(name));
    book.setInService(name, true, "owner", 1000);
    book.update(input(1000, findings));
    return meanwhile;
  },
  "suppressed-by-design"(book, findings) {
    book.update(input(400, [...findings, cause]));
    book.update(input(500, [...findings, cause]));
    const meanwhile = shownState(book.alarm(name));
    book.update(input(900, findings));
    book.update(input(1000, findings));
    return meanwhile;
  },
};

type Row = readonly [
  before: ProcessState,
  isTrueThen: boolean,
  plain: ProcessState | null,
  latching: ProcessState | null,
];

/** Null: no such state without latching, or with it. */
const back: readonly Row[] = [
  ["normal", false, "normal", "normal"],
  ["normal", true, "unacknowledged", "unacknowledged"],
  ["unacknowledged", false, "normal", "latched-unacknowledged"],
  ["unacknowledged", true, "unacknowledged", "unacknowledged"],
  ["acknowledged", false, "normal", "latched-unacknowledged"],
  ["acknowledged", true, "unacknowledged", "unacknowledged"],
  ["returned-to-normal-unacknowledged", false, "normal", null],
  ["returned-to-normal-unacknowledged", true, "unacknowledged", null],
  ["latched-unacknowledged", false, null, "latched-unacknowledged"],
  ["latched-unacknowledged", true, null, "unacknowledged"],
  ["latched-acknowledged", false, null, "latched-unacknowledged"],
  ["latched-acknowledged", true, null, "unacknowledged"],
];

describe("an alarm that is withheld for a time", () => {
  for (const latching of [false, true]) {
    for (const withheld of ["shelved", "out-of-service"] as const) {
      it(`comes back from ${withheld} as the table says${latching ? ", latching" : ""}`, () => {
        for (const [before, isTrue, plain, latched] of back) {
          const expected = latching ? latched : plain;
          if (expected === null) continue;
          const book = createAlarmBook(changedTable({ [name]: { latching } }));
          ways[before](book);
          expect([before, shownState(book.alarm(name))]).toEqual([before, before]);
          expect(withholding[withheld](book, isTrue ? [holds] : [])).toBe(withheld);
          expect([before, isTrue, shownState(book.alarm(name))]).toEqual([before, isTrue, expected]);
        }
      });
    }

    it(`is suppressed by design while its cause speaks, and told once that is over${latching ? ", latching" : ""}`, () => {
      for (const before of ["normal", "unacknowledged", "acknowledged"] as const) {
        const book = createAlarmBook(changedTable({ [name]: { latching } }));
        ways[before](book);
        expect(withholding["suppressed-by-design"](book, [holds])).toBe("suppressed-by-design");
        // The cause was told, and its end: what lasts is news, whoever saw to it before.
        expect([before, shownState(book.alarm(name))]).toEqual([before, "unacknowledged"]);
      }
    });
  }

  it("that latches waits for a person although it came and went on the shelf", () => {
    const book = createAlarmBook(changedTable({ [name]: { latching: true } }));
    book.shelve(name, 1000, "owner", 10);
    book.update(input(100, [holds]));
    book.update(input(200));
    book.update(input(300));
    expect(shownState(book.alarm(name))).toBe("shelved");
    book.update(input(1000));
    expect(shownState(book.alarm(name))).toBe("latched-unacknowledged");
    book.acknowledge(name, "owner", 1010);
    book.reset(name, "owner", 1020);
    expect(shownState(book.alarm(name))).toBe("normal");
  });
});

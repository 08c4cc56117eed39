// Expected transitions: ANSI/ISA-18.2 and IEC 62682 as open course documents give them; the latched pair from memory.

import { describe, expect, it } from "vitest";
import {
  type AlarmEvent,
  nextAlarmState,
  type ProcessState,
  stateOnReturn,
  withheldAs,
} from "../../../analysis/alarms/alarm-state.ts";

const states: readonly ProcessState[] = [
  "normal",
  "unacknowledged",
  "acknowledged",
  "returned-to-normal-unacknowledged",
  "latched-unacknowledged",
  "latched-acknowledged",
];
const events: readonly AlarmEvent[] = ["activate", "clear", "acknowledge", "reset"];

/** Every transition there is; a pair that is not here changes nothing. */
const table: readonly (readonly [ProcessState, AlarmEvent, ProcessState, ProcessState])[] = [
  // from, event, plain, latching
  ["normal", "activate", "unacknowledged", "unacknowledged"],
  ["unacknowledged", "acknowledge", "acknowledged", "acknowledged"],
  ["unacknowledged", "clear", "returned-to-normal-unacknowledged", "latched-unacknowledged"],
  ["acknowledged", "clear", "normal", "latched-acknowledged"],
  ["returned-to-normal-unacknowledged", "acknowledge", "normal", "normal"],
  ["returned-to-normal-unacknowledged", "activate", "unacknowledged", "unacknowledged"],
  ["latched-unacknowledged", "acknowledge", "latched-acknowledged", "latched-acknowledged"],
  ["latched-unacknowledged", "activate", "unacknowledged", "unacknowledged"],
  ["latched-acknowledged", "reset", "normal", "normal"],
  ["latched-acknowledged", "activate", "unacknowledged", "unacknowledged"],
];

describe("the states of an alarm", () => {
  for (const latching of [false, true]) {
    it(`go as the standard's table says${latching ? ", latching" : ""}, and nowhere else`, () => {
      for (const state of states) {
        for (const event of events) {
          const row = table.find(([from, by]) => from === state && by === event);
          const expected = row === undefined ? state : row[latching ? 3 : 2];
          expect([state, event, nextAlarmState(state, event, latching)]).toEqual([state, event, expected]);
        }
      }
    });
  }

  it("are covered by out of service before suppression by design before shelving", () => {
    const none = { shelvedUntil_s: null, suppressed: false, outOfService: false };
    expect(withheldAs(none)).toBeNull();
    expect(withheldAs({ ...none, shelvedUntil_s: 1 })).toBe("shelved");
    expect(withheldAs({ ...none, shelvedUntil_s: 1, suppressed: true })).toBe("suppressed-by-design");
    expect(withheldAs({ shelvedUntil_s: 1, suppressed: true, outOfService: true })).toBe("out-of-service");
  });

  it("come back as what is true then", () => {
    expect(states.map((state) => [state, stateOnReturn(state)])).toEqual([
      ["normal", "normal"],
      ["unacknowledged", "unacknowledged"],
      ["acknowledged", "unacknowledged"],
      ["returned-to-normal-unacknowledged", "normal"],
      // A latching alarm is kept until it is reset: no shelf does that for a person.
      ["latched-unacknowledged", "latched-unacknowledged"],
      ["latched-acknowledged", "latched-unacknowledged"],
    ]);
  });
});

import { describe, expect, it } from "vitest";
import type { Finding } from "../../../analysis/findings/finding.ts";
import { findingKinds } from "../../../analysis/findings/finding.ts";
import { readAlarms, type ToldFinding, type ToldForwarding } from "../../../daemon/central/board-messages.ts";
import { boardTime_s, conditionsOf } from "../../../daemon/central/conditions.ts";
import type { EnrolledBasin } from "../../../daemon/central/config/central-file.ts";
import { hearFinding, hearState, nothingHeard } from "../../../daemon/central/heard.ts";
import { urgencyTable } from "../../../daemon/central/urgency.ts";
import { calm } from "../../real/central-boards.ts";

const now_s = 1_795_700_000;
const basin: EnrolledBasin = {
  name: "elm-12",
  title: "12 Elm Street",
  group: null,
  place: null,
  customer: null,
  contact: null,
  serviceDue_s: null,
  silentAfter_s: 300,
};
/** The broker has been heard for an hour. */
const timezone = "America/Toronto";
const at = (now: number) => ({ now_s: now, timezone, hearing_s: now_s - 3600 });

function told(
  time_s: number | null,
  openFindings: readonly Finding[] = [],
  more: { invented?: boolean; run?: string; clock_s?: number } = {},
) {
  const board = { invented: false, run: "a", clock_s: null, ...more };
  return { situation: { ...calm, time_s, openFindings }, findings: openFindings, ...board };
}

function finding(kind: Finding["kind"], from_s = now_s): Finding {
  return { kind, severity: "critical", from_s, to_s: null, evidence: {}, message: "Go there." };
}

function heardNow(openFindings: readonly Finding[] = []) {
  const heard = nothingHeard();
  hearState(heard, told(now_s, openFindings), now_s, false);
  return heard;
}

const kinds = (...given: Parameters<typeof conditionsOf>) => conditionsOf(...given).map(({ kind }) => kind);

describe("a record that does not get through to the shared database", () => {
  const behind = (forward: Partial<NonNullable<ToldForwarding>>) => {
    const heard = heardNow();
    heard.forward = { state: "waiting", oldest_s: now_s - 1000, error: "nobody listens there", ...forward };
    return heard;
  };

  it("is said with the board's own words after a quarter of an hour", () => {
    expect(conditionsOf(behind({}), basin, 300, at(now_s + 1))).toMatchObject([
      { kind: "record-behind", tier: "soon", since_s: now_s - 1000, advice: "nobody listens there" },
    ]);
    expect(kinds(behind({ oldest_s: now_s - 800 }), basin, 300, at(now_s + 1))).toEqual(["well"]);
  });

  it("is nothing to say while it catches up, where nothing waits, or where the board sends none", () => {
    expect(kinds(behind({ state: "sending", oldest_s: now_s - 1e6 }), basin, 300, at(now_s))).toEqual(["well"]);
    expect(kinds(behind({ oldest_s: null }), basin, 300, at(now_s))).toEqual(["well"]);
    expect(kinds({ ...heardNow(), forward: null }, basin, 300, at(now_s))).toEqual(["well"]);
  });

  it("may wait for the longest `every` where the board speaks of no fault", () => {
    const quiet = { state: "current", error: null } as const;
    expect(kinds(behind({ ...quiet, oldest_s: now_s - 3700 }), basin, 300, at(now_s))).toEqual(["well"]);
    expect(kinds(behind({ ...quiet, oldest_s: now_s - 7300 }), basin, 300, at(now_s))).toEqual(["record-behind"]);
  });

  it("is not said of a silent board, of which only the silence is known", () => {
    expect(kinds(behind({}), basin, 300, at(now_s + 400))).toEqual(["silent"]);
  });

  it("is told by the central clock where the board's is wrong", () => {
    const heard = behind({ oldest_s: now_s + 3600 - 1000 });
    hearState(heard, told(now_s + 3600 + 5), now_s + 5, false);
    hearState(heard, told(now_s + 3600 + 10), now_s + 10, false);
    const [, second] = conditionsOf(heard, basin, 300, at(now_s + 10));
    expect(second).toMatchObject({ kind: "record-behind", since_s: now_s - 1000 });
  });
});

describe("what is true of a basin", () => {
  it("is that all is well when its board says so", () => {
    expect(kinds(heardNow(), basin, 300, at(now_s))).toEqual(["well"]);
  });

  it("takes no more room than a line may have, whatever its board says", () => {
    const wordy = { ...finding("sensor-fault"), message: "W".repeat(2000) };
    const found = conditionsOf(heardNow(Array.from({ length: 50 }, () => wordy)), basin, 300, at(now_s));
    expect(found).toHaveLength(16);
    expect(found[0]?.advice).toBe(`${"W".repeat(400)}…`);
  });

  it("puts the most urgent first, in the order of the table", () => {
    const heard = heardNow([finding("pump-worn"), finding("high-water", now_s - 60), finding("short-cycling")]);
    expect(conditionsOf(heard, basin, 300, at(now_s))).toMatchObject([
      { kind: "high-water", tier: "now", since_s: now_s - 60, advice: "Go there." },
      { kind: "short-cycling", tier: "soon" },
      { kind: "pump-worn", tier: "soon" },
    ]);
  });

  it("has a place for every kind of finding", () => {
    const placed = new Set<string>(urgencyTable.map(({ kind }) => kind));
    expect(findingKinds.filter((kind) => !placed.has(kind))).toEqual([]);
  });

  it("puts a finding that a newer board knows by how severe that calls it", () => {
    const unknown: ToldFinding = { ...finding("high-water"), kind: "pump-on-fire" };
    const heard = heardNow();
    hearFinding(heard, unknown);
    hearFinding(heard, { ...unknown, kind: "a-nuisance", severity: "info" });
    expect(conditionsOf(heard, basin, 300, at(now_s + 400)).map(({ kind, tier }) => [kind, tier])).toEqual([
      ["pump-on-fire", "now"],
      ["silent", "silent"],
      ["a-nuisance", "soon"],
    ]);
  });

  it("is silent after the stated time without a reading, since the last one", () => {
    const heard = heardNow();
    expect(kinds(heard, basin, 300, at(now_s + 300))).toEqual(["well"]);
    expect(conditionsOf(heard, basin, 300, at(now_s + 301))).toMatchObject([{ kind: "silent", since_s: now_s }]);
  });

  it("stays urgent when a board falls silent in an urgent state", () => {
    const heard = heardNow([finding("high-water")]);
    expect(kinds(heard, basin, 300, at(now_s + 3600))).toEqual(["high-water", "silent"]);
  });

  it("is silent, since when nobody knows, when an enrolled board was never heard", () => {
    expect(conditionsOf(nothingHeard(), basin, 300, at(now_s))).toMatchObject([{ kind: "silent", since_s: null }]);
  });

  it("is not called silent before the central view has listened itself", () => {
    const heard = nothingHeard();
    hearState(heard, told(now_s - 900), now_s, true);
    expect(kinds(heard, basin, 300, { ...at(now_s), hearing_s: now_s - 5 })).toEqual(["not-heard-yet"]);
    expect(kinds(heard, basin, 300, { ...at(now_s), hearing_s: null })).toEqual(["not-heard-yet"]);
    expect(conditionsOf(heard, basin, 300, at(now_s))).toMatchObject([{ kind: "silent", since_s: now_s - 900 }]);
  });

  it("does not count a state that is said again after a lost connection as a reading", () => {
    const heard = heardNow();
    hearState(heard, told(now_s), now_s + 1000, false);
    expect(kinds(heard, basin, 300, at(now_s + 1000))).toEqual(["silent"]);
  });

  it("is due for service from its day on", () => {
    const due = { ...basin, serviceDue_s: now_s };
    expect(kinds(heardNow(), due, 300, at(now_s - 1))).toEqual(["well"]);
    expect(conditionsOf(heardNow(), due, 300, at(now_s))).toMatchObject([{ kind: "service-due", since_s: now_s }]);
  });

  it("is due for service when its board says so, at which services are entered, whatever the view's own file says", () => {
    const heard = heardNow();
    const tell = (service: object | null) => {
      heard.alarms = readAlarms(Buffer.from(JSON.stringify({ alarms: [], service })));
    };
    const past = { ...basin, serviceDue_s: now_s - 86_400 };
    tell({ last: "2026-01-01", due: "2099-07-02" });
    expect(kinds(heard, past, 300, at(now_s))).toEqual(["well"]);
    tell({ last: "2019-01-01", due: "2019-07-02" });
    expect(conditionsOf(heard, { ...past, serviceDue_s: null }, 300, at(now_s))).toMatchObject([
      {
        kind: "service-due",
        since_s: Date.parse("2019-07-02T09:00-04:00") / 1000,
        advice: expect.stringContaining("board's own page"),
      },
    ]);
    tell(null);
    expect(kinds(heard, past, 300, at(now_s))).toEqual(["service-due"]);
  });

  it("says that a board is not enrolled, after what is urgent there", () => {
    expect(kinds(heardNow(), null, 300, at(now_s))).toEqual(["not-enrolled"]);
    expect(kinds(heardNow([finding("high-water")]), null, 300, at(now_s))).toEqual(["high-water", "not-enrolled"]);
  });
});

describe("one of two pumps that does not start", () => {
  it("is to be seen to soon, for the other has to do its work; both call for someone now", () => {
    const one = { ...finding("float-stuck-off"), evidence: { pump: 2 } };
    expect(kinds(heardNow([one]), basin, 300, at(now_s))).toEqual(["one-pump-out"]);
    expect(kinds(heardNow([one, finding("float-stuck-off")]), basin, 300, at(now_s))[0]).toBe("float-stuck-off");
  });
});

describe("a board whose clock is wrong", () => {
  const off = (ahead_s: number, open: readonly Finding[] = []) => {
    const heard = nothingHeard();
    for (const step of [0, 5]) {
      hearState(heard, told(now_s + step + ahead_s, open), now_s + step, false);
    }
    return heard;
  };

  it("is told by readings of the future, or of long ago", () => {
    expect(kinds(off(3600), basin, 300, at(now_s + 5))).toEqual(["clock-wrong"]);
    expect(kinds(off(-86_400), basin, 300, at(now_s + 5))).toEqual(["clock-wrong"]);
    expect(kinds(off(30), basin, 300, at(now_s + 5))).toEqual(["well"]);
    expect(kinds(off(-120), basin, 300, at(now_s + 5))).toEqual(["well"]);
  });

  it("does not make it silent, and its times are told by the central clock", () => {
    const heard = off(-86_400, [finding("high-water", now_s - 86_400 - 60)]);
    expect(conditionsOf(heard, basin, 300, at(now_s + 5))[0]).toMatchObject({
      kind: "high-water",
      since_s: now_s - 60,
    });
  });

  it("is told by the clock that it names, not by readings of before that a source brings", () => {
    const heard = nothingHeard();
    const say = (clockAhead_s: number, readingAhead_s: number) => {
      for (const step of [0, 5]) {
        const clock_s = now_s + step + clockAhead_s;
        hearState(heard, told(now_s + step + readingAhead_s, [], { clock_s }), now_s + step, false);
      }
      return kinds(heard, basin, 300, at(now_s + 5));
    };
    expect(say(2, -86_400)).toEqual(["readings-late"]);
    expect(boardTime_s(now_s, heard)).toBe(now_s);
    expect(say(2, -200)).toEqual(["well"]);
    expect(say(-7200, -7201)).toEqual(["clock-wrong"]);
    expect(boardTime_s(now_s, heard)).toBe(now_s - 7200);
    expect(say(-7200, -86_400)).toEqual(["clock-wrong", "readings-late"]);
  });

  it("is believed only when two readings say so", () => {
    const heard = nothingHeard();
    hearState(heard, told(now_s - 7200), now_s, false);
    expect(kinds(heard, basin, 300, at(now_s))).toEqual(["well"]);
  });

  it("is no matter where the readings are invented", () => {
    const heard = nothingHeard();
    for (const step of [0, 5]) hearState(heard, told(step, [], { invented: true }), now_s + step, false);
    expect(kinds(heard, basin, 300, at(now_s + 5))).toEqual(["well"]);
  });
});

describe("two boards that go by one name", () => {
  it("are told apart by their runs, as they speak by turns", () => {
    const heard = nothingHeard();
    for (const [step, run] of ["a", "b", "a"].entries()) {
      hearState(heard, told(now_s + step, [], { run }), now_s + step, false);
    }
    expect(kinds(heard, basin, 300, at(now_s + 3))).toEqual(["two-boards"]);
  });

  it("are not suspected in one that is started anew again and again", () => {
    const heard = nothingHeard();
    for (let step = 0; step < 20; step++)
      hearState(heard, told(now_s + step, [], { run: `${step}` }), now_s + step, false);
    expect(kinds(heard, basin, 300, at(now_s + 20))).toEqual(["well"]);
  });
});

import { describe, expect, it } from "vitest";
import type { Finding, FindingChange } from "../../../analysis/findings/finding.ts";
import {
  ceasingFindings,
  forgetPending,
  judge,
  newFindingBook,
  openFindings,
} from "../../../analysis/findings/finding-book.ts";
import { rules } from "../../../analysis/findings/index.ts";
import type { Rule } from "../../../analysis/findings/rule.ts";
import { viewOf } from "./view.ts";

/** True while the level is above 1 m, unknown without a level; the evidence is the highest. */
const wet: Rule = {
  kind: "high-water",
  severity: "critical",
  onDelay_s: 10,
  offDelay_s: 20,
  holds: ({ level_m }) => (level_m === null ? null : level_m > 1),
  evidence: ({ level_m }) => ({ highest_m: level_m }),
  worsen: (evidence, { level_m }) =>
    level_m !== null && level_m > Number(evidence.highest_m) ? { highest_m: level_m } : null,
  message: ({ pumpRunning }) => (pumpRunning ? "It runs." : "It rests."),
};

type Look = readonly [time_s: number, level_m: number | null];

/** Goes through the looks; tells every change with the time at which it was told. */
function follow(looks: readonly Look[], rules: readonly Rule[] = [wet]) {
  const book = newFindingBook(rules);
  const told: { at_s: number; change: FindingChange; finding: Finding }[] = [];
  for (const [time_s, level_m] of looks) {
    judge(book, rules, viewOf({ time_s, level_m }), (finding, change) => told.push({ at_s: time_s, change, finding }));
  }
  return { told, changes: told.map(({ at_s, change }) => [at_s, change]), open: openFindings(book) };
}

describe("judge", () => {
  it("opens a finding once its condition has held for its delay, from when it began to hold", () => {
    const looks: Look[] = [
      [0, 0],
      [5, 2],
      [14, 2],
      [15, 2],
      [16, 2],
    ];
    const { changes, open } = follow(looks);
    expect(changes).toEqual([[15, "began"]]);
    expect(open).toEqual([
      {
        kind: "high-water",
        severity: "critical",
        from_s: 5,
        to_s: null,
        evidence: { highest_m: 2 },
        message: "It rests.",
      },
    ]);
  });

  it("says since when the condition of a finding that is still open has not held, until it holds again", () => {
    const book = newFindingBook([wet]);
    const at = (time_s: number, level_m: number | null) => {
      judge(book, [wet], viewOf({ time_s, level_m }), () => {});
      return ceasingFindings(book);
    };
    for (const time_s of [5, 15, 16]) expect(at(time_s, 2)).toEqual([]);
    expect(at(20, 0)).toEqual([{ kind: "high-water", from_s: 5, since_s: 20 }]);
    expect(at(25, null)).toEqual([{ kind: "high-water", from_s: 5, since_s: 20 }]);
    expect(at(26, 2)).toEqual([]);
    expect(at(30, 0)).toEqual([{ kind: "high-water", from_s: 5, since_s: 30 }]);
    expect(at(50, 0)).toEqual([]);
  });

  it("asks a rule that comes true on news alone only then, but always while its finding is open", () => {
    let asked = 0;
    const ofNews: Rule = {
      ...wet,
      onDelay_s: 0,
      onlyOnNews: true,
      holds: (view) => ++asked > 0 && wet.holds(view, null),
    };
    const book = newFindingBook([ofNews]);
    const look = (time_s: number, level_m: number, noNews: boolean) => {
      judge(book, [ofNews], viewOf({ time_s, level_m, noNews }), () => {});
      return asked;
    };
    expect(look(0, 0, false)).toBe(1);
    expect(look(1, 0, true)).toBe(1);
    expect(look(2, 2, false)).toBe(2);
    expect(look(3, 2, true)).toBe(3);
  });

  it("asks a rule of trouble only then, but always while its finding is open or about to be", () => {
    let asked = 0;
    const ofTrouble: Rule = {
      ...wet,
      onDelay_s: 2,
      onlyInTrouble: true,
      holds: (view) => ++asked > 0 && wet.holds(view, null),
    };
    const book = newFindingBook([ofTrouble]);
    const look = (time_s: number, level_m: number, allWell: boolean) => {
      judge(book, [ofTrouble], viewOf({ time_s, level_m, allWell }), () => {});
      return asked;
    };
    expect(look(0, 0, true)).toBe(0);
    expect(look(1, 2, false)).toBe(1);
    expect(look(2, 2, true)).toBe(2);
    expect(look(3, 2, true)).toBe(3);
    expect(look(4, 2, true)).toBe(4);
  });

  it("has no rule of trouble that would find something where all is well", () => {
    const view = viewOf({ allWell: true });
    const ofTrouble = rules.filter(({ onlyInTrouble }) => onlyInTrouble);
    expect(ofTrouble.length).toBeGreaterThan(5);
    expect(ofTrouble.map((rule) => rule.holds(view, null) ?? false)).not.toContain(true);
  });

  it("begins to count anew when the condition fails meanwhile", () => {
    const looks: Look[] = [
      [0, 2],
      [9, 0],
      [10, 2],
      [19, 2],
    ];
    expect(follow(looks).changes).toEqual([]);
    expect(follow([...looks, [20, 2]]).open[0]?.from_s).toBe(10);
  });

  it("ends a finding once its condition has failed for its delay, at the time at which it first failed", () => {
    const { told, open } = follow([
      [0, 2],
      [10, 2],
      [30, 0],
      [40, 2],
      [50, 0],
      [69, 0],
      [70, 0],
    ]);
    expect(told.map(({ at_s, change }) => [at_s, change])).toEqual([
      [10, "began"],
      [70, "ended"],
    ]);
    expect(told[1]?.finding).toMatchObject({ from_s: 0, to_s: 50 });
    expect(open).toEqual([]);
  });

  it("keeps what was decided while the condition is unknown, open or shut", () => {
    const { changes } = follow([
      [0, 2],
      [10, 2],
      [11, null],
      [5000, null],
      [5001, 2],
    ]);
    expect(changes).toEqual([[10, "began"]]);
    expect(
      follow([
        [0, null],
        [5000, null],
      ]).changes,
    ).toEqual([]);
  });

  it("lets evidence worsen while the finding is open, and never get better", () => {
    const { told } = follow([
      [0, 2],
      [10, 2],
      [11, 3],
      [12, 2.5],
      [13, 4],
      [14, 0],
      [34, 0],
    ]);
    expect(told.map(({ change, finding }) => [change, finding.evidence.highest_m])).toEqual([
      ["began", 2],
      ["updated", 3],
      ["updated", 4],
      ["ended", 4],
    ]);
    expect(new Set(told.map(({ finding }) => finding.from_s))).toEqual(new Set([0]));
  });

  it("opens at the first look where there is no delay", () => {
    expect(follow([[7, 2]], [{ ...wet, onDelay_s: 0 }]).changes).toEqual([[7, "began"]]);
  });

  it("tells a rule whether its finding is open, so that less may keep it open than opened it", () => {
    const sticky: Rule = {
      ...wet,
      onDelay_s: 0,
      offDelay_s: 0,
      holds: ({ level_m }, open) => (level_m ?? 0) > (open === null ? 1 : 0.5),
    };
    expect(
      follow(
        [
          [0, 0.7],
          [1, 1.1],
          [2, 0.7],
          [3, 0.4],
        ],
        [sticky],
      ).changes,
    ).toEqual([
      [1, "began"],
      [3, "ended"],
    ]);
  });

  it("begins to count anew over a gap, and keeps open what is open", () => {
    const book = newFindingBook([wet]);
    const told: FindingChange[] = [];
    const look = (time_s: number, level_m: number) =>
      judge(book, [wet], viewOf({ time_s, level_m }), (_, change) => told.push(change));
    look(0, 2);
    forgetPending(book);
    look(5000, 2);
    look(5009, 2);
    expect(told).toEqual([]);
    look(5010, 2);
    expect(openFindings(book)[0]?.from_s).toBe(5000);
    forgetPending(book);
    look(9000, 2);
    expect(told).toEqual(["began"]);
  });

  it("waits for as many readings as the rule asks for, however far apart they are", () => {
    const rule: Rule = { ...wet, onReadings: () => 3 };
    const looks: Look[] = [
      [0, 2],
      [60, 2],
      [120, 0],
      [180, 2],
      [240, 2],
    ];
    expect(follow(looks, [rule]).changes).toEqual([]);
    expect(follow([...looks, [300, 2]], [rule]).changes).toEqual([[300, "began"]]);
    expect(follow([...looks, [300, 2]], [rule]).open[0]?.from_s).toBe(180);
  });

  it("adds to the evidence what the end shows, and advises by it", () => {
    const rule: Rule = {
      ...wet,
      onDelay_s: 0,
      offDelay_s: 0,
      conclude: ({ evidence }) => ({ ...evidence, dried: true }),
      message: (_, { dried }) => (dried ? "It was wet." : "It is wet."),
    };
    const { told } = follow(
      [
        [0, 2],
        [1, 0],
      ],
      [rule],
    );
    expect(told[1]?.finding).toMatchObject({
      evidence: { highest_m: 2, dried: true },
      message: "It was wet.",
      to_s: 1,
    });
  });

  it("gives findings of one kind that begin together beginnings that differ", () => {
    const { open } = follow(
      [
        [7, 2],
        [20, 2],
      ],
      [wet, { ...wet }, { ...wet }],
    );
    expect(open.map(({ from_s }) => from_s)).toEqual([7, expect.closeTo(7.001, 9), expect.closeTo(7.002, 9)]);
  });

  it("judges every rule by itself", () => {
    const dry: Rule = { ...wet, kind: "float-stuck-on", onDelay_s: 0, holds: ({ level_m }) => level_m === 0 };
    const { open } = follow(
      [
        [0, 2],
        [10, 2],
        [11, 0],
      ],
      [wet, dry],
    );
    expect(open.map(({ kind }) => kind)).toEqual(["high-water", "float-stuck-on"]);
  });
});

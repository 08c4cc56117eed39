import { describe, expect, it } from "vitest";
import type { Condition, OverviewRow } from "../../../daemon/central/central-types.ts";
import { type ConditionKind, placeOf, urgencyTable } from "../../../daemon/central/urgency.ts";
import { arrange, countTiers, groupsOf, type Wish } from "../../../dashboard/central/arrange.ts";

const everything: Wish = { words: "", tier: null, group: null, byGroup: false };

function row(
  name: string,
  kind: ConditionKind,
  given: Partial<OverviewRow> = {},
  since_s: number | null = null,
): OverviewRow {
  const condition: Condition = { kind, ...placeOf(kind), since_s, advice: null };
  return {
    name,
    title: name,
    group: null,
    place: null,
    customer: null,
    contact: null,
    serviceDue_s: null,
    enrolled: true,
    invented: false,
    conditions: [condition],
    alarms: [],
    aside: [],
    takesAnswers: false,
    connected: true,
    clockOff_s: null,
    ...given,
  };
}

const names = (rows: Iterable<OverviewRow>, wish: Partial<Wish> = {}) =>
  arrange(rows, { ...everything, ...wish }).map(({ group, rows: its }) => [group, its.map(({ name }) => name)]);

describe("the order of the overview", () => {
  it("is that of the table of urgency, whatever comes in", () => {
    const rows = urgencyTable.map(({ kind }) => row(kind, kind)).toSorted((a, b) => a.name.localeCompare(b.name));
    expect(names(rows)).toEqual([[null, urgencyTable.map(({ kind }) => kind)]]);
  });

  it("puts what has lasted longest first among equals, then goes by name, with numbers as numbers", () => {
    const rows = [
      row("late", "high-water", {}, 200),
      row("early", "high-water", {}, 100),
      row("10 Mill Lane", "well"),
      row("9 Mill Lane", "well"),
    ];
    expect(names(rows)).toEqual([[null, ["early", "late", "9 Mill Lane", "10 Mill Lane"]]]);
  });

  it("by group, has the group with the most urgent basin first", () => {
    const rows = [row("a", "well", { group: "North" }), row("b", "silent", { group: "South" }), row("c", "well")];
    expect(names(rows, { byGroup: true })).toEqual([
      ["South", ["b"]],
      ["North", ["a"]],
      ["No group", ["c"]],
    ]);
  });
});

describe("finding a basin", () => {
  const rows = [
    row("a", "well", { title: "12 Elm Street", place: "cellar", group: "North" }),
    row("b", "high-water", { title: "3 Große Straße", customer: "École du Lac", group: "South" }),
  ];

  it("looks for every word, anywhere, in any spelling of its letters", () => {
    expect(names(rows, { words: "elm CELLAR" })).toEqual([[null, ["a"]]]);
    expect(names(rows, { words: "ecole strasse" })).toEqual([[null, ["b"]]]);
    expect(names(rows, { words: "elm lac" })).toEqual([]);
    expect(names(rows, { words: "  " })[0]?.[1]).toHaveLength(2);
  });

  it("goes together with a group and with how things are", () => {
    expect(names(rows, { group: "North" })).toEqual([[null, ["a"]]]);
    expect(names(rows, { tier: "now" })).toEqual([[null, ["b"]]]);
    expect(names(rows, { tier: "now", group: "North" })).toEqual([]);
  });
});

it("counts each basin once, by the most urgent that is true of it", () => {
  const both = row("a", "high-water");
  const conditions = [...both.conditions, { ...both.conditions[0], kind: "silent", tier: "silent" as const }];
  const rows = [{ ...both, conditions } as OverviewRow, row("b", "silent"), row("c", "well")];
  expect(countTiers(rows)).toEqual({ now: 1, silent: 1, soon: 0, service: 0, well: 1 });
  expect(groupsOf(rows)).toEqual(["No group"]);
});

import { describe, expect, it } from "vitest";
import type { Condition } from "../../../../daemon/central/central-types.ts";
import { whatStands } from "../../../../daemon/central/phones/what-stands.ts";
import { placeOf } from "../../../../daemon/central/urgency.ts";

const condition = (kind: string): Condition => ({ kind, ...placeOf(kind), since_s: null, advice: null });
const well = [condition("well")];
const kinds = (all: readonly { condition: Condition }[]) => all.map(({ condition: { kind } }) => kind);
const start = () => whatStands({ on_s: 60, off_s: 60 });

describe("what stands", () => {
  it("is due once it has lasted, most urgent first, and only what calls for somebody", () => {
    const all = start();
    all.see("elm", ["silent", "pump-worn", "service-due"].map(condition), 0);
    all.see("mill", [condition("high-water")], 10);
    expect(kinds(all.due(59))).toEqual([]);
    expect(kinds(all.due(60))).toEqual(["silent"]);
    expect(kinds(all.due(70))).toEqual(["high-water", "silent"]);
  });

  it("is forgotten where it went before anybody was told", () => {
    const all = start();
    all.see("elm", [condition("high-water")], 0);
    all.see("elm", well, 50);
    all.see("elm", [condition("high-water")], 55);
    expect(all.due(70)).toEqual([]);
    expect(all.over(1000)).toEqual([]);
    expect(kinds(all.due(115))).toEqual(["high-water"]);
  });

  it("is over, for those who were told, once it has stayed away", () => {
    const all = start();
    all.see("elm", [condition("high-water")], 0);
    for (const standing of all.due(60)) all.told(standing, "ann");
    all.see("elm", well, 100);
    all.see("elm", [condition("high-water")], 130); // came back: not over
    all.see("elm", well, 200);
    expect(all.over(259)).toEqual([]);
    const [over] = all.over(260);
    expect(over).toMatchObject({ basin: "elm", told: ["ann"] });
    if (over) all.toldOver(over, "ann");
    expect(all.over(9999)).toEqual([]);
    expect(all.kept()).toEqual([]);
  });

  it("is not over because nothing is heard, nor after a start before anything is", () => {
    const before = start();
    before.see("elm", [condition("high-water")], 0);
    for (const standing of before.due(60)) before.told(standing, "ann");
    before.see("elm", ["high-water", "silent"].map(condition), 400);
    const after = whatStands({ on_s: 60, off_s: 60 }, structuredClone(before.kept()));
    after.see("elm", [condition("not-heard-yet")], 500);
    expect(after.over(9999)).toEqual([]);
    after.see("elm", [condition("high-water")], 520);
    expect(after.due(600)).toMatchObject([{ seen_s: 0, told: ["ann"] }]);
    after.see("elm", well, 700);
    expect(kinds(after.over(760))).toEqual(["high-water"]);
  });

  it("owes nothing to a phone that is gone", () => {
    const all = start();
    all.see("elm", [condition("high-water")], 0);
    for (const standing of all.due(60)) {
      all.told(standing, "ann");
      all.told(standing, "bob");
    }
    all.forgetPhonesBut(new Set(["bob"]));
    expect(all.kept()).toMatchObject([{ told: ["bob"] }]);
    all.see("elm", well, 100);
    all.forgetPhonesBut(new Set());
    expect(all.over(200)).toEqual([]);
  });
});

import { describe, expect, it } from "vitest";
import { parse } from "yaml";
import { sourceKinds } from "../../daemon/sources/index.ts";
import { parseCandidates } from "../../daemon/whatif-candidates.ts";
import { contractSite } from "./config/contract-site.ts";

function parsed(text: string) {
  return parseCandidates(text, "candidates.yaml", parse(contractSite), "site.yaml", sourceKinds);
}

function problemsOf(text: string): readonly string[] {
  const answer = parsed(text);
  return answer.ok ? [] : answer.problems;
}

describe("parseCandidates", () => {
  it("gives each candidate the site with what it changes", () => {
    const answer = parsed(`candidates:
  - name: wider
    discharge: { pipe: { nominal: 2 in } }
  - name: cut
    power_cut: { lasts: 4 h }
    on_battery: { speed: 80 %, charges_in: 12 h }
    backup: { capacity: 75 Ah }
    ground_head: 40 in
  - name: then
    power_cut: { lasts: 30 min, at: 2026-03-04T06:10:00Z }
`);
    if (!answer.ok) throw new Error(answer.problems.join("\n"));
    const [wider, cut, then] = answer.plans;
    expect(wider?.site.discharge?.pipe).toMatchObject({ nominal_m: 0.0508, length_m: 6.7056 });
    expect(wider?.site.pump?.curve).toHaveLength(4);
    expect(cut?.cuts).toEqual([{ lasts_s: 14_400, at_s: "worst" }]);
    expect(then?.cuts).toEqual([{ lasts_s: 1800, at_s: Date.UTC(2026, 2, 4, 6, 10) / 1000 }]);
    expect(cut?.onBattery).toEqual({ pump: 0, only: false, speed: 0.8, charges_s: 43_200 });
    expect([cut?.site.backup?.capacity_ah, cut?.groundHead_m]).toEqual([75, 1.016]);
  });

  it.each([
    [
      "a misspelt key",
      "candidates:\n  - name: a\n    powercut: { lasts: 4 h }\n",
      "candidates.yaml:3: candidates[0].powercut: unknown key; did you mean power_cut?",
    ],
    [
      "a misspelt key of the site file's groups",
      "candidates:\n  - name: a\n    basin:\n      start_levle: 10 in\n",
      "candidates.yaml:4: candidates[0].basin.start_levle: unknown key; did you mean start_level?",
    ],
    [
      "a bare number",
      "candidates:\n  - name: a\n    power_cut: { lasts: 4 }\n",
      "candidates.yaml:3: candidates[0].power_cut.lasts: expected a duration with its unit",
    ],
    [
      "a level that does not go with the rest of the site",
      "candidates:\n  - name: a\n  - name: b\n    basin: { stop_level: 15 in }\n",
      "candidates.yaml:4: candidates[1].basin.stop_level: expected less than start_level, 355.6 mm (14 in), found 381 mm (15 in)",
    ],
    [
      "a size of pipe that there is not",
      "candidates:\n  - name: a\n    discharge: { pipe: { nominal: 7 in } }\n",
      "candidates.yaml:3: candidates[0].discharge.pipe.nominal: expected a size of pvc-40",
    ],
    [
      "a time without its offset",
      "candidates:\n  - name: a\n    power_cut: { lasts: 4 h, at: noon }\n",
      'candidates.yaml:3: candidates[0].power_cut.at: expected worst, or a time such as 2026-03-04T06:10:00Z, found "noon"',
    ],
    [
      "two of one name",
      "candidates:\n  - name: a\n  - name: a\n",
      'candidates.yaml:3: candidates[1].name: expected a name that no other candidate has, found "a" again',
    ],
    [
      "the second of one pump",
      "candidates:\n  - name: a\n    on_battery: { pump: 2 }\n",
      "candidates.yaml:3: candidates[0].on_battery.pump: expected 1, since the site has one pump, found 2",
    ],
    [
      "turns of one pump",
      "candidates:\n  - name: a\n    takes_turns: true\n",
      "candidates.yaml:3: candidates[0].takes_turns: expected pumps, a list of two, beside it, found one pump",
    ],
    ["an empty file", "", "candidates.yaml: expected a file of candidates (YAML, with a list of candidates), found"],
    [
      "no candidate",
      "candidates: []\n",
      "candidates.yaml:1: candidates: expected a list with at least 1 entry, found 0",
    ],
  ])("names line and key of %s", (_, text, problem) => {
    const problems = problemsOf(text);
    expect(problems).toHaveLength(1);
    expect(problems[0]).toContain(problem);
  });

  it("says everything that is wrong at once", () => {
    expect(problemsOf("candidates:\n  - basin: { depth: 3 }\n  - name: b\n    pipe: 2 in\n")).toHaveLength(2);
  });
});

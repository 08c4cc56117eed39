import { describe, expect, it } from "vitest";
import { parseSiteFile } from "../../../../daemon/config/parse-site-file.ts";
import { sourceKinds } from "../../../../daemon/sources/index.ts";

const ways = `
  channels:
    - { kind: sms-modem, name: modem, port: /dev/ttyUSB0 }
  contacts:
    - { name: Ann, reach: [{ by: modem, to: "+1 555 0100" }], quiet: 22:00-07:30 }
    - { name: Bob, reach: [{ by: modem, to: "+1 555 0101" }] }
`;
const parse = (alarms: string) =>
  parseSiteFile(`basin: { shape: round, diameter: 18 in }\nalarms:\n${alarms}\n`, "site.yaml", sourceKinds);

describe("alarms", () => {
  it("calls everybody at once where no steps are given", () => {
    const parsed = parse(ways);
    expect(parsed.ok && parsed.siteFile.alarms).toMatchObject({
      contacts: [{ quiet: { from_min: 22 * 60, to_min: 450 }, mostAnHour: 6 }, { quiet: null }],
      call: [{ contacts: ["Ann", "Bob"], after_s: 0 }],
    });
  });

  it("calls again what is urgent and unanswered, unless the site file says otherwise", () => {
    const again = (alarms: string) => {
      const parsed = parse(alarms);
      return parsed.ok ? parsed.siteFile.alarms.callAgain : null;
    };
    expect(again(ways)).toEqual({ after_s: 900, times: 5 });
    expect(again(`${ways}  call_again: { times: 0 }`)).toEqual({ after_s: 900, times: 0 });
  });

  it("says of a wrong channel what is wrong with it, and not that those who use it name none", () => {
    const parsed = parse(`
  channels:
    - { kind: sms-modem, name: modem, port: /dev/ttyUSB0, colour: red }
    - { kind: sms-modem, name: second, port: /dev/ttyUSB1 }
  contacts:
    - { name: Ann, reach: [{ by: modem, to: "+1 555 0100" }, { by: second, to: "0555" }] }
`);
    const problems = parsed.ok ? [] : parsed.problems.map(({ text }) => text);
    expect(problems.join("\n")).toContain("unknown key");
    expect(problems.join("\n")).not.toContain("the name of a channel");
  });

  it.each([
    [
      "a number in the wrong form",
      ways.replace("+1 555 0100", "0555 0100"),
      "expected an international number such as",
    ],
    ["a channel that is not there", ways.replace("by: modem", "by: moden"), "did you mean modem?"],
    [
      "two that would write over each other's phones",
      ways.replace(
        "channels:",
        `channels:
    - { kind: web-push, name: phones, email: ann@example.org }
    - { kind: web-push, name: more, email: ann@example.org }`,
      ),
      "expected one web-push at most, found another",
    ],
    ["quiet hours without an end", ways.replace("22:00-07:30", "22:00-22:00"), "expected two different times such as"],
    ["quiet hours in words", ways.replace("22:00-07:30", "at night"), "expected a span of the day such as 22:00-07:00"],
    ["a step that calls a stranger", `${ways}  call: [{ contacts: [Ann, Bop] }]`, "did you mean Bob?"],
    [
      "a contact whom nobody calls",
      `${ways}  call: [{ contacts: [Ann] }]`,
      "expected every contact in a step, found Bob in none",
    ],
    [
      "steps that go backwards",
      `${ways}  call: [{ contacts: [Ann], after: 10 min }, { contacts: [Bob], after: 5 min }]`,
      "expected no less than 10 min, the step before",
    ],
    [
      "a delay longer than the time to act",
      `${ways}  change: { high-water: { on_delay: 20 min } }`,
      "expected at most 15 min",
    ],
    [
      "high water that nobody is told of",
      `${ways}  change: { high-water: { tell: false } }`,
      "expected true: high water is what everything else leads to",
    ],
    [
      "high water that waits for the morning",
      `${ways}  change: { high-water: { priority: low } }`,
      "expected high: quiet hours would hold it back",
    ],
    ["rounds that leave nobody the time to answer", `${ways}  call_again: { after: 1 min }`, "expected at least 5 min"],
    ["an alarm that there is not", `${ways}  change: { high-watr: { tell: false } }`, "did you mean high-water?"],
    ["a step that calls nobody", `${ways}  call: [{ contacts: [] }]`, "expected a list with at least 1 entry, found 0"],
    [
      "a heartbeat at what is no address of the web",
      `${ways}  heartbeat: { url: "ftp://example.org" }`,
      "expected an address such as https://beat.example.org/basin",
    ],
  ])("refuses %s", (_, alarms, problem) => {
    const parsed = parse(alarms);
    expect(parsed.ok ? "" : parsed.problems.map(({ text }) => text).join("\n")).toContain(problem);
  });
});

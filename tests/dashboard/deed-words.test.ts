import { describe, expect, it } from "vitest";
import type { AlarmDeed } from "../../daemon/server/alarms-types.ts";
import { deedWord, testedWord } from "../../dashboard/deed-words.ts";

const deed: AlarmDeed = {
  ...{ at_s: 0, kind: "acknowledged", alarm: "high-water", title: "HIGH WATER", by: "Ann", via: "page" },
  ...{ reason: null, until_s: null, contact: null },
};
const of = (change: Partial<AlarmDeed>) => deedWord({ ...deed, ...change }, (time_s) => `t${time_s}`);

describe("the words for what was done", () => {
  it("say who, and by which way", () => {
    expect(of({})).toBe("answered by Ann, on the page");
    expect(of({ via: "link" })).toBe("answered by Ann, by the link in a message");
    expect(of({ via: "channel modem" })).toBe("answered by Ann, by a reply through modem");
    expect(of({ via: "afar" })).toBe("answered by Ann, from afar");
    expect(of({ via: null })).toBe("answered by Ann"); // kept by a version that did not note it
    expect(of({ by: "the page" })).toBe("answered on the page, without a name");
  });

  it("say until when and why something is put aside, and how it came back", () => {
    expect(of({ kind: "shelved", until_s: 60, reason: "new pump" })).toBe(
      "shelved until t60, by Ann, on the page: new pump",
    );
    expect(of({ kind: "unshelved", by: null, via: null })).toBe("off the shelf again, its time was over");
    expect(of({ kind: "unshelved" })).toBe("taken off the shelf by Ann, on the page");
    expect(of({ kind: "out-of-service", reason: "dug up" })).toBe("taken out of service by Ann, on the page: dug up");
  });

  it("say of a service on which day it was done, and that this was a slip", () => {
    const service = { alarm: "service-due", reason: "2026-05-01" } as const;
    expect(of({ ...service, kind: "serviced" })).toBe("done on 1 May 2026, entered by Ann, on the page");
    expect(of({ ...service, kind: "service-undone" })).toBe("entry of 1 May 2026 taken back by Ann, on the page");
  });

  it("say of a test to whom, by which channels, and who wanted it", () => {
    const tested = { ...deed, kind: "tested", alarm: null, contact: "Bob", via: "mail, modem" } as const;
    expect(testedWord(tested)).toBe("Bob by mail, modem, asked for by Ann");
    expect(testedWord({ ...tested, by: null })).toBe("Bob by mail, modem");
  });
});

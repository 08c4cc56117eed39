import { describe, expect, it } from "vitest";
import type { Condition, OverviewRow } from "../../../daemon/central/central-types.ts";
import { placeOf, urgencyTable } from "../../../daemon/central/urgency.ts";
import { adviceOf, headline, sinceOf, titleOf } from "../../../dashboard/central/condition-words.ts";

const now_s = Date.UTC(2026, 10, 26, 12) / 1000;
const row = { connected: true, clockOff_s: null } as OverviewRow;

function condition(kind: string, since_s: number | null = null, advice: string | null = null): Condition {
  return { kind, ...placeOf(kind), since_s, advice };
}

describe("the words for what is true of a basin", () => {
  it("are there for every kind, and end without a full stop", () => {
    for (const { kind } of urgencyTable) expect(titleOf(condition(kind))).toMatch(/^[A-Z].*[^.]$/);
  });

  it("are made of its name for a kind that only a newer board knows", () => {
    expect(titleOf(condition("pump-on-fire"))).toBe("Pump on fire");
    expect(adviceOf(condition("pump-on-fire", null, "Pull the plug."), row)).toBe("Pull the plug.");
  });

  it("say since when", () => {
    expect(sinceOf(condition("high-water", now_s - 240), row, now_s)).toBe("for 4 min");
    expect(sinceOf(condition("silent", now_s - 7200), row, now_s)).toBe("last heard 2 h ago");
    expect(sinceOf(condition("silent"), row, now_s)).toBe("never heard");
    expect(sinceOf(condition("service-due", Date.UTC(2026, 9, 1) / 1000), row, now_s)).toBe("since 1 Oct 2026");
    expect(sinceOf(condition("well"), row, now_s)).toBe("");
  });

  it("say how far a clock is off, and which way", () => {
    expect(sinceOf(condition("clock-wrong"), { ...row, clockOff_s: 5400 }, now_s)).toBe("1 h 30 min ahead");
    expect(sinceOf(condition("clock-wrong"), { ...row, clockOff_s: -7200 }, now_s)).toBe("2 h behind");
  });

  it("say what to do wherever there is something to do", () => {
    for (const { kind, tier } of urgencyTable) {
      const ofBoard =
        tier === "well" ||
        !(
          kind in
          {
            silent: 0,
            "not-heard-yet": 0,
            "two-boards": 0,
            "clock-wrong": 0,
            "readings-late": 0,
            "record-behind": 0,
            "not-enrolled": 0,
            "service-due": 0,
          }
        );
      const advice = adviceOf(condition(kind), row);
      if (ofBoard)
        expect(advice).toBeNull(); // the board's own words stand there, or nothing
      else expect(advice).toMatch(/\.$/);
    }
  });

  it("send people to the board where it is not connected, and to the sensor where it is", () => {
    expect(adviceOf(condition("silent"), { ...row, connected: false })).toMatch(/power and network/);
    expect(adviceOf(condition("silent"), row)).toMatch(/sensor/);
    expect(adviceOf(condition("silent", now_s - 900), { ...row, connected: null })).toMatch(/power and network/);
    expect(adviceOf(condition("silent"), { ...row, connected: null })).toMatch(/Nothing has come from it yet/);
  });
});

describe("the first sentence of the overview", () => {
  const none = { now: 0, silent: 0, soon: 0, service: 0, well: 0 };

  it.each([
    [{ ...none, now: 1, silent: 4, well: 9 }, "act", "1 basin needs someone now."],
    [{ ...none, now: 3 }, "act", "3 basins need someone now."],
    [{ ...none, silent: 1, well: 9 }, "unknown", "Nobody is called for, but 1 basin is silent."],
    [{ ...none, soon: 2, well: 9 }, "watch", "Nobody is needed now."],
    [{ ...none, well: 1990 }, "calm", "Nobody is needed anywhere."],
    [none, "unknown", "There is no basin here yet."],
  ])("of %o is %s: %s", (counts, tone, text) => {
    expect(headline(counts, 0)).toEqual({ tone, text });
  });

  it("do not say that all is well while boards call people and nobody answers", () => {
    const well = { now: 0, silent: 0, soon: 0, service: 0, well: 3 };
    expect(headline(well, 1)).toEqual({
      tone: "watch",
      text: "Nobody is needed now, but one alarm waits for an answer.",
    });
    expect(headline({ ...well, soon: 1 }, 2).text).toBe("Nobody is needed now, but 2 alarms wait for an answer.");
    expect(headline({ ...well, now: 1 }, 2).tone).toBe("act");
  });
});

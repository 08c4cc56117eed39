import { describe, expect, it } from "vitest";
import { againWord, heartbeatWord, provenWord, stepWord, troubleLines } from "../../dashboard/call-words.ts";

const clock = (time_s: number) => `t${time_s}`;

describe("who is called", () => {
  it("say how often the calls go round again", () => {
    expect(againWord({ after_s: 900, times: 5 })).toBe(
      "While nobody answers what is of high priority, the calls go round again 5 times: the first time after 15 min, then after twice as long each time.",
    );
    expect(againWord({ after_s: 900, times: 1 })).toMatch(/go round again once: after 15 min\.$/);
    expect(againWord({ after_s: 900, times: 0 })).toBe("Nobody is called a second time.");
  });

  it("say when somebody is called, and when that was last proven", () => {
    const call = [
      { contacts: ["Ann"], after_s: 0 },
      { contacts: ["Ben"], after_s: 600 },
    ];
    expect(stepWord(call, "Ann")).toBe("at once");
    expect(stepWord(call, "Ben")).toBe("after 10 min, unless somebody has answered");
    expect(provenWord(null, 0, clock)).toEqual({ words: "Never proven: send a test", isGood: false });
    expect(provenWord(0, 3600, clock)).toEqual({ words: "Last proven t0", isGood: true });
    expect(provenWord(0, 40 * 86_400, clock).words).toBe("Last proven t0, 40 days ago");
    expect(provenWord(0, 200 * 86_400, clock)).toMatchObject({ isGood: false });
  });

  it("say whether anybody outside would notice that the board is dead", () => {
    expect(heartbeatWord(null, clock)).toMatch(/dies silently/);
    const heartbeat = { host: "beat.example.org", every_s: 300, answered_s: null, problem: null };
    expect(heartbeatWord(heartbeat, clock)).toMatch(/^beat\.example\.org is told every 5 min .* has not answered/);
    expect(heartbeatWord({ ...heartbeat, answered_s: 9 }, clock)).toMatch(/it last answered t9\.$/);
  });

  it("name what keeps alarms from people, most serious first, and nothing while all is well", () => {
    const well = { unreached: [], channels: [], undelivered: 0, cardProblem: null, heartbeatProblem: null };
    expect(troubleLines(well)).toEqual([]);
    expect(
      troubleLines({
        unreached: ["Ann", "Ben"],
        channels: [{ name: "modem", problem: "no network." }],
        undelivered: 2,
        cardProblem: "disk full",
        heartbeatProblem: "no answer in 15 s",
      }),
    ).toEqual([
      "No channel reaches Ann and Ben now.",
      "modem: no network.",
      "2 messages of the last day did not get through.",
      "Messages are kept in memory alone; a power cut would lose those that have not been sent: disk full.",
      "The address that watches whether the board lives does not hear it: no answer in 15 s.",
    ]);
  });
});

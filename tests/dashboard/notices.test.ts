import { describe, expect, it } from "vitest";
import type { LiveState } from "../../daemon/server/api-types.ts";
import type { SourceHealth } from "../../daemon/sources/source.ts";
import { notices } from "../../dashboard/notices.ts";

const source: SourceHealth = {
  name: "Level sensor",
  kind: "mqtt",
  state: "running",
  since_s: 0,
  lastReading_s: 10,
  accepted: 10,
  rejected: 2,
  lastRejection: "level: found text",
  error: null,
  retryAt_s: null,
};

const healthy: LiveState = {
  situation: {
    time_s: 10,
    level_m: 0.2,
    pumpRunning: false,
    pumpSince_s: null,
    floatOn: null,
    highFloat: null,
    mainsOn: null,
    inflow: null,
    pumpRate: null,
    levelRate_ms: null,
    startsInLastHour: 0,
    openFindings: [],
  },
  sources: [source],
  store: { state: "writing", held: 0, lost: 0, error: null, since_s: null },
  now_s: 10,
  speed: null,
  maxSpeed: null,
  span: null,
  wallStep_s: 0.01,
};

describe("notices about the instruments", () => {
  it("are none while all work", () => {
    expect(notices(healthy)).toEqual([]);
  });

  it("name each source that has failed", () => {
    const sources = [source, { ...source, name: "Pump relay", state: "waiting-to-retry" as const }];
    expect(notices({ ...healthy, sources })).toEqual(["Pump relay has failed and will be tried again."]);
  });

  it("say that the store holds readings, and that some were given up", () => {
    const store = { state: "holding" as const, held: 86_400, lost: 1200, error: "disk full", since_s: 0 };
    expect(notices({ ...healthy, store })).toEqual([
      "The store cannot write. Readings wait in memory.",
      "1,200 readings could not be kept.",
    ]);
  });

  it("say that nothing is published, where something should be", () => {
    expect(notices({ ...healthy, publisher: { error: "the broker refuses the password" } })).toEqual([
      "Nothing is published: other systems do not hear of this basin.",
    ]);
    expect(notices({ ...healthy, publisher: { error: null } })).toEqual([]);
    expect(notices({ ...healthy, publisher: null })).toEqual([]);
  });

  it("say which way the clock was set", () => {
    expect(notices({ ...healthy, wallStep_s: -7200 })).toEqual([
      "The clock was set back by 2 h; times here keep the old count.",
    ]);
  });

  it("say how far the shared database is behind, once it is worth a line", () => {
    const forward = {
      ...{ basin: "elm-7", state: "waiting" as const, waiting: 12, lastSuccess_s: null, error: "no answer" },
      ...{ retryAt_s: null, notes: [] },
    };
    const after_s = 10_000;
    const behind = (oldest_s: number | null) =>
      notices({ ...healthy, now_s: after_s, forward: { ...forward, oldest_s } });
    expect(behind(null)).toEqual([]);
    expect(behind(after_s - 600)).toEqual([]);
    expect(behind(after_s - 7200)).toEqual(["The shared database lacks the last 2 h; they wait on this board."]);
  });

  it("say whom alarms do not reach, or that somebody might not be told, and where to see why", () => {
    const well = { unreached: [], channels: [], undelivered: 0, cardProblem: null, heartbeatProblem: null };
    expect(notices({ ...healthy, alarmTrouble: well })).toEqual([]);
    expect(notices({ ...healthy, alarmTrouble: { ...well, unreached: ["Ann"] } })).toEqual([
      "Alarms do not reach Ann: see Alarms.",
    ]);
    expect(notices({ ...healthy, alarmTrouble: { ...well, heartbeatProblem: "no answer" } })).toEqual([
      "Somebody might not be told of an alarm: see Alarms.",
    ]);
  });
});

import { describe, expect, it } from "vitest";
import { knownBasins } from "../../../daemon/central/basins.ts";
import type { CentralFile } from "../../../daemon/central/config/central-file.ts";
import { calm } from "../../real/central-boards.ts";
import { basin } from "./round.ts";

function start() {
  const clock = { now_s: 1_795_700_000 };
  const file = { basins: [basin({ name: "elm-12" }), basin({ name: "elm-14" })], view: {}, customers: new Map() };
  const basins = knownBasins(file as unknown as CentralFile, () => clock.now_s);
  const say = (name: string, level_m: number, topic = "state") => {
    const payload = Buffer.from(JSON.stringify({ ...calm, time_s: clock.now_s, level_m }));
    basins.take({ basin: name, topic, payload, kept: false });
  };
  const level_m = (name: string) => basins.get(name)?.heard.situation?.level_m;
  return { clock, basins, say, level_m };
}

describe("a board that says far more than boards do", () => {
  it("is listened to again a second later, and takes no other's place", () => {
    const { clock, basins, say, level_m } = start();
    for (let n = 1; n <= 1000; n++) say("elm-12", n / 10_000);
    say("elm-14", 0.3);
    expect(level_m("elm-12")).toBe(0.01);
    expect(level_m("elm-14")).toBe(0.3);
    expect(basins.refused()).toEqual({ messages: 900, strangers: 0, last: "elm-12/state" });
    clock.now_s += 1;
    say("elm-12", 0.4);
    expect(level_m("elm-12")).toBe(0.4);
  });
});

describe("a board that nobody enrolled", () => {
  it("is a basin once it speaks, not by what the broker still keeps of it", () => {
    const { basins } = start();
    const take = (name: string, topic: string, payload: string, kept: boolean) =>
      basins.take({ basin: name, topic, payload: Buffer.from(payload), kept });
    const state = JSON.stringify(calm);
    take("gone", "state", state, true);
    take("gone", "status", "online", true);
    take("leaving", "status", "offline", false);
    take("comes", "status", "online", false);
    take("speaks", "state", state, false);
    expect([...basins.all()].map(({ name }) => name)).toEqual(["elm-12", "elm-14", "comes", "speaks"]);
    expect(basins.refused().strangers).toBe(0);
  });
});

describe("what is left out", () => {
  it("is counted, with the topic of the last", () => {
    const { basins, say } = start();
    basins.take({ basin: "elm-12", topic: "state", payload: Buffer.from("{"), kept: false });
    expect(basins.refused()).toEqual({ messages: 1, strangers: 0, last: "elm-12/state" });
    say("Not A Name", 0.1);
    expect(basins.refused()).toEqual({ messages: 1, strangers: 1, last: "Not A Name/state" });
  });

  it("is a finding of a kind that could be none", () => {
    const { basins } = start();
    for (const kind of ["<b>", "__proto__", "k".repeat(41), ""]) {
      const finding = { kind, severity: "critical", from_s: 0, to_s: null, evidence: {}, message: "" };
      const payload = Buffer.from(JSON.stringify(finding));
      basins.take({ basin: "elm-12", topic: "finding/x", payload, kept: false });
    }
    expect(basins.get("elm-12")?.heard.findings).toEqual([]);
  });

  it("is a time that no calendar has", () => {
    const { basins } = start();
    for (const time_s of [1e300, -1e300, 8.64e12 + 1]) {
      const payload = Buffer.from(JSON.stringify({ ...calm, time_s }));
      basins.take({ basin: "elm-12", topic: "state", payload, kept: false });
    }
    expect(basins.get("elm-12")?.heard.situation).toBeNull();
  });
});

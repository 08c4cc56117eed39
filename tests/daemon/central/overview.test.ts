import { describe, expect, it } from "vitest";
import { knownBasins } from "../../../daemon/central/basins.ts";
import type { CentralFile } from "../../../daemon/central/config/central-file.ts";
import { overview } from "../../../daemon/central/overview.ts";
import { calm, openFinding } from "../../real/central-boards.ts";
import { basin } from "./round.ts";

/** A central view whose clock is turned by hand; `step()` is what happens every 300 ms. */
function start(names: readonly string[]) {
  let now_s = 1_795_700_000;
  const began_s = now_s;
  const file = { basins: names.map((name) => basin({ name })), view: { silentAfter_s: 300 }, customers: new Map() };
  const basins = knownBasins(file as unknown as CentralFile, () => now_s);
  const at = () => ({ now_s, timezone: "UTC", hearing_s: began_s - 60 });
  const all = overview({ basins, view: { name: "", timezone: "UTC" }, version: "0", at, brokerLost: () => null });
  return {
    say(name: string, situation: object = {}) {
      const payload = Buffer.from(JSON.stringify({ ...calm, time_s: now_s, ...situation, run: name }));
      basins.take({ basin: name, topic: "state", payload, kept: false });
    },
    /** What is told in so many seconds, step by step. */
    pass(span_s: number) {
      const told = [];
      for (const end_s = now_s + span_s; now_s < end_s; now_s += 0.3) {
        all.step();
        const changes = all.changes(null);
        if (changes !== null) told.push(changes);
        all.take();
      }
      return told;
    },
  };
}

const names = ["a", "b", "c", "d"];

describe("what is told of changes", () => {
  it("is nothing while nothing changes but the time of the reading", () => {
    const round = start(names);
    for (const name of names) round.say(name);
    round.pass(6);
    for (let n = 0; n < 20; n++) {
      for (const name of names) round.say(name);
      expect(round.pass(1)).toEqual([]);
    }
  });

  it("is one row when one basin gets into trouble", () => {
    const round = start(names);
    for (const name of names) round.say(name);
    round.pass(6);
    round.say("c", { openFindings: [openFinding("high-water", "critical")] });
    const told = round.pass(1);
    expect(told.flatMap(({ rows }) => rows.map(({ name }) => name))).toEqual(["c"]);
  });

  it("is that a basin is silent, without a word from it", () => {
    const round = start(["a"]);
    round.say("a");
    round.pass(280);
    const told = round.pass(30).flatMap(({ rows }) => rows);
    expect(told.map(({ conditions }) => conditions[0]?.kind)).toEqual(["silent"]);
  });

  it("is a level that has moved, soon, and the last one too when nothing follows it", () => {
    const round = start(["a"]);
    round.say("a", { level_m: 0.2 });
    round.pass(6);
    for (let n = 1; n <= 4; n++) {
      round.say("a", { level_m: 0.2 + n / 100 });
      round.pass(0.3);
    }
    const told = round.pass(10).flatMap(({ pulses }) => pulses);
    expect(told).toEqual([["a", 0.24, false]]);
  });
});

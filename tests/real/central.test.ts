// The central view on a real broker, mosquitto: what it knows after a restart, what the last will says, and two thousand
// boards at once.

import { connectAsync } from "mqtt";
import { afterAll, afterEach, beforeAll, describe, it } from "vitest";
import type { OverviewAnswer, OverviewRow } from "../../daemon/central/central-types.ts";
import type { CentralFile } from "../../daemon/central/config/central-file.ts";
import { type Central, runCentral } from "../../daemon/central/run-central.ts";
import { startMqttPublisher } from "../../daemon/publishers/mqtt-publisher.ts";
import { hearEvents } from "../daemon/central/hear-events.ts";
import { basin } from "../daemon/central/round.ts";
import { type Boards, calm, openFinding, startBoards } from "./central-boards.ts";
import { type Mosquitto, startMosquitto } from "./mosquitto.ts";
import { until } from "./until.ts";

let broker: Mosquitto;
let boards: Boards;
const running: Central[] = [];

beforeAll(async () => {
  broker = await startMosquitto();
  boards = await startBoards(broker.url);
});
afterEach(async () => {
  for (const central of running.splice(0)) await central.stop();
});
afterAll(async () => {
  await boards.close();
  await broker.dispose();
});

async function start(names: readonly string[], prefix = "undercroft"): Promise<Central> {
  const centralFile: CentralFile = {
    view: { name: "All basins", timezone: "UTC", silentAfter_s: 300 },
    broker: { url: broker.url, topic_prefix: prefix },
    database: null,
    basins: names.map((name) => basin({ name })),
    customers: new Map(),
    logins: [],
    server: { host: "127.0.0.1", port: 0, tls: null, behindTlsProxy: false, sessionKeyFile: null },
    baseFolder: "/",
  };
  const central = await runCentral(centralFile, { log() {} });
  running.push(central);
  return central;
}

async function rowsOf(central: Central): Promise<Map<string, OverviewRow>> {
  const answer: OverviewAnswer = await (await fetch(`${central.url}api/overview`)).json();
  return new Map(answer.rows.map((row) => [row.name, row]));
}

async function eventually(what: string, holds: () => Promise<boolean>, within_s = 10): Promise<void> {
  for (const end_ms = Date.now() + within_s * 1000; Date.now() < end_ms; ) {
    if (await holds()) return;
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  throw new Error(`not within ${within_s} s: ${what}`);
}

const first = async (central: Central, name: string) => (await rowsOf(central)).get(name)?.conditions[0]?.kind;

describe("the central view on a real broker", () => {
  it("shows what a board says, as it says it, to whoever listens", async () => {
    const central = await start(["elm-12"]);
    await eventually("the broker is heard", async () => (await rowsOf(central)).has("elm-12"));
    await boards.say("elm-12");
    const events = await hearEvents(`${central.url}api/overview/events`);
    await boards.finding("elm-12", openFinding("high-water", "critical"));
    await until("the row", () => events.rows().get("elm-12")?.conditions[0]?.kind === "high-water");
    events.close();
  });

  it("knows after a restart what it knew before, from what the broker kept", async () => {
    await boards.say("mill-3", { openFindings: [openFinding("float-stuck-on", "critical")] });
    await boards.status("mill-3", "online");
    for (let again = 0; again < 2; again++) {
      const central = await start(["mill-3"]);
      await eventually("the finding", async () => (await first(central, "mill-3")) === "float-stuck-on");
      await central.stop();
      running.pop();
    }
  });

  it("takes no finding for open that the broker kept beside a state without it", async () => {
    await boards.finding("mill-5", openFinding("high-water", "critical"));
    await boards.say("mill-5");
    const central = await start(["mill-5"]);
    await eventually("the state", async () => (await first(central, "mill-5")) === "well");
  });

  it("hears of a board that says goodbye", async () => {
    const options = { baseFolder: "/", now_s: () => Date.now() / 1000, invented: false };
    const publisher = await startMqttPublisher({ url: broker.url, topic_prefix: "undercroft/depot" }, options);
    publisher.state({ ...calm, time_s: Date.now() / 1000 });
    const central = await start(["depot"]);
    const connected = async () => (await rowsOf(central)).get("depot")?.connected;
    await eventually(
      "it is there",
      async () => (await first(central, "depot")) === "well" && (await connected()) === true,
    );
    await publisher.close();
    await eventually("it is gone", async () => (await connected()) === false);
  });

  it("hears of a board that is cut off, by its last will", async () => {
    const topic = "undercroft/depot/status";
    const will = { topic, payload: Buffer.from("offline"), qos: 1, retain: true } as const;
    const board = await connectAsync(broker.url, { will, reconnectPeriod: 0 });
    await board.publishAsync(topic, "online", { qos: 1, retain: true });
    const central = await start(["depot"]);
    const connected = async () => (await rowsOf(central)).get("depot")?.connected;
    await eventually("it is there", async () => (await connected()) === true);
    board.stream.destroy();
    await eventually("it is gone", async () => (await connected()) === false);
  });

  it("hears all of two thousand boards, though the broker drops what it cannot queue", async () => {
    const many = await startBoards(broker.url, "many");
    const names = Array.from({ length: 2000 }, (_, n) => `board-${n}`);
    await Promise.all(names.map((name) => many.say(name)));
    await Promise.all(names.map((name) => many.status(name, "online")));
    const central = await start(names, "many");
    await eventually(
      "all are well",
      async () => {
        const rows = await rowsOf(central);
        return names.every((name) => rows.get(name)?.conditions[0]?.kind === "well");
      },
      40,
    );
    await many.close();
  }, 60_000);

  it("says that it does not hear the broker, and comes back with it", async () => {
    const central = await start(["elm-12"]);
    const lost = async () => {
      const answer: OverviewAnswer = await (await fetch(`${central.url}api/overview`)).json();
      return answer.brokerLost;
    };
    await eventually("it is heard", async () => (await lost()) === null);
    await broker.kill();
    await eventually("it is lost", async () => /connection lost|refused/.test((await lost())?.reason ?? ""));
    await broker.start();
    await eventually("it is back", async () => (await lost()) === null);
    await boards.say("elm-12", { openFindings: [openFinding("power-lost", "critical")] });
    await eventually("what is said then", async () => (await first(central, "elm-12")) === "power-lost");
  });
});

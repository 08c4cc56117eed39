// An alarm answered in the central view, by a real broker (mosquitto), with the alarms of a house of our invention at work.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import type { OverviewRow } from "../../daemon/central/central-types.ts";
import { type Central, runCentral } from "../../daemon/central/run-central.ts";
import type { Acknowledgement } from "../../daemon/publishers/acknowledgement.ts";
import { type MqttPublisher, startMqttPublisher } from "../../daemon/publishers/mqtt-publisher.ts";
import { basin } from "../daemon/central/round.ts";
import { calm } from "./central-boards.ts";
import { type Mosquitto, startMosquitto } from "./mosquitto.ts";
import { until } from "./until.ts";

const from_s = 1_772_604_510.25;
const unanswered = {
  ...{ name: "high-water", title: "HIGH WATER", priority: "high", whatToDo: "Check the pump." },
  ...{ state: "unacknowledged", from_s, to_s: null, acknowledgedBy: null },
};

let folder: string;
let broker: Mosquitto;
let central: Central;
let board: MqttPublisher | null = null;
let heard: Acknowledgement[] = [];

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "central-alarms-"));
  broker = await startMosquitto({ lines: ["allow_anonymous true"] });
});
afterAll(async () => {
  await broker.dispose();
  rmSync(folder, { recursive: true });
});
beforeEach(async () => {
  heard = [];
  central = await runCentral(
    {
      view: { name: "All basins", timezone: "UTC", silentAfter_s: 300 },
      broker: { url: broker.url, topic_prefix: "undercroft" },
      database: null,
      basins: [basin({ name: "elm-12" })],
      customers: new Map(),
      logins: [],
      server: { host: "127.0.0.1", port: 0, tls: null, behindTlsProxy: false, sessionKeyFile: null },
      baseFolder: "/",
    },
    { log() {} },
  );
});
afterEach(async () => {
  await board?.close();
  board = null;
  await central.stop();
});

/** A board that says what it has heard, as the daemon's does. */
async function startBoard(): Promise<void> {
  board = await startMqttPublisher(
    { url: broker.url, topic_prefix: "undercroft/elm-12", acknowledge: true },
    {
      baseFolder: folder,
      now_s: () => Date.now() / 1000,
      invented: false,
      onAcknowledge(acknowledgement) {
        heard.push(acknowledgement);
        const acknowledged = { ...unanswered, state: "acknowledged", acknowledgedBy: acknowledgement.by };
        board?.about("alarms", { alarms: [acknowledged], acknowledge: true });
      },
    },
  );
  board.state({ ...calm, time_s: Date.now() / 1000 });
}

async function alarms(): Promise<OverviewRow["alarms"]> {
  const answer = await fetch(`${central.url}api/overview`);
  const { rows }: { rows: OverviewRow[] } = await answer.json();
  return rows[0]?.alarms ?? [];
}

async function eventually(what: string, holds: (all: OverviewRow["alarms"]) => boolean): Promise<void> {
  let last = false;
  const end_ms = performance.now() + 15_000;
  while (!last) {
    if (performance.now() > end_ms) throw new Error(`not within 15 s: ${what}`);
    last = holds(await alarms());
  }
}

const answer = () =>
  fetch(`${central.url}basins/elm-12/api/alarms/acknowledge`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({ alarm: "high-water", from_s }),
  });

describe("an alarm that is answered in the central view", () => {
  it("is answered at the board, which says so, and the answer is taken back", async () => {
    await startBoard();
    board?.about("alarms", { alarms: [unanswered], acknowledge: true });
    await eventually("the alarm is seen", (all) => all[0]?.acknowledgedBy === null);
    expect((await answer()).status).toBe(202);
    await eventually("the board confirms", (all) => all[0]?.acknowledgedBy === "the central view");
    expect(heard).toEqual([{ alarm: "high-water", from_s, by: "the central view" }]);
    await board?.close();
    await startBoard();
    await eventually("the board is there again", (all) => all.length === 1);
    expect(heard).toHaveLength(1);
  });

  it("waits at the broker for a board that is away", async () => {
    await startBoard();
    board?.about("alarms", { alarms: [unanswered], acknowledge: true });
    await eventually("the alarm is seen", (all) => all[0]?.acknowledgedBy === null);
    await board?.close();
    board = null;
    expect((await answer()).status).toBe(202);
    await eventually("the answer is shown as on its way", (all) => all[0]?.answeredBy === "the central view");
    expect(heard).toEqual([]);
    await startBoard();
    await until("the board hears it", () => heard.length === 1);
    await eventually("it is seen to", (all) => all[0]?.acknowledgedBy === "the central view");
  });
});

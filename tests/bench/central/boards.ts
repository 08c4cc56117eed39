// The process of the simulated boards: many in one, each with a connection, a publisher and a forwarder of its own. Told
// what to do by the bench, and tells it what it did.

import { setTimeout as sleep } from "node:timers/promises";
import { startMqttPublisher } from "../../../daemon/publishers/mqtt-publisher.ts";
import type { Moment } from "./ages.ts";
import { nameOf } from "./board-names.ts";
import { type Forwarding, startForwarding } from "./forwarding.ts";
import { memoryRecord } from "./memory-record.ts";
import { type SimulatedBoard, simulatedBoard, type Tally } from "./simulated-board.ts";
import type { TrueMessages } from "./true-messages.ts";

export interface BoardsOrder {
  readonly boards: number;
  readonly every_ms: number;
  readonly truth: TrueMessages;
  readonly brokerPort: number;
  readonly databasePort: number;
  /** File of the authority. */
  readonly ca: string;
  /** Folder with a folder for each board, in it the files `broker` and `database`. */
  readonly passwords: string;
}

export type Said =
  /** The first reading of each board is in the database. */
  | { readonly kind: "forwarding" }
  | { readonly kind: "published"; readonly moments: readonly Moment[] }
  | { readonly kind: "trouble"; readonly line: string }
  | {
      readonly kind: "done";
      readonly tallies: Readonly<Record<string, Tally>>;
      readonly late_ms: number;
      readonly forwarded_bytes: number;
    };

interface Board {
  readonly board: SimulatedBoard;
  readonly forwarding: Forwarding;
  close(): Promise<void>;
}

/** A few at a time, as after a power cut in a street and not as after one of a country. */
const startsAtOnce = 10;
const betweenStarts_ms = 200;
/** What steps are due is looked at so often. */
const tick_ms = 20;
const patience_ms = 60_000;

let late_ms = 0;
let stop = false;

process.on("message", (message: BoardsOrder | "stop") => {
  if (message === "stop") stop = true;
  else run(message).catch(fail);
});

function fail(error: unknown): void {
  console.error(error);
  process.exit(1);
}

async function run(order: BoardsOrder): Promise<void> {
  const boards: Board[] = [];
  while (boards.length < order.boards) {
    const numbers = Array.from(
      { length: Math.min(startsAtOnce, order.boards - boards.length) },
      (_, i) => boards.length + i,
    );
    boards.push(...(await Promise.all(numbers.map((number) => start(number, order)))));
    await sleep(betweenStarts_ms);
  }
  await play(boards, order.every_ms);
  const unsent = () =>
    boards.flatMap(({ forwarding }, i) => (forwarding.isDone() ? [] : [`${nameOf(i)}: ${forwarding.why()}`]));
  await untilNone("all boards have forwarded what they read", unsent);
  await sleep(1000); // what was published last is acknowledged
  const tallies = Object.fromEntries(boards.map(({ board }, i) => [nameOf(i), board.tally]));
  const forwarded_bytes = boards.reduce((sum, { forwarding }) => sum + forwarding.sent_bytes(), 0);
  say({ kind: "done", tallies, late_ms, forwarded_bytes });
  await Promise.all(boards.map((board) => board.close()));
  process.disconnect?.();
}

async function start(number: number, order: BoardsOrder): Promise<Board> {
  const name = nameOf(number);
  const baseFolder = `${order.passwords}/${name}`;
  const tls = { ca: order.ca, reject_unauthorized: true };
  const publisher = await startMqttPublisher(
    {
      url: `mqtts://127.0.0.1:${order.brokerPort}`,
      username: name,
      password_file: "broker",
      topic_prefix: `undercroft/${name}`,
      tls,
    },
    {
      baseFolder,
      invented: false,
      now_s: () => Date.now() / 1000,
      log: (line) => say({ kind: "trouble", line: `${name}: ${line}` }),
    },
  );
  const record = memoryRecord();
  const forwarding = startForwarding(record, {
    truth: order.truth,
    url: `https://127.0.0.1:${order.databasePort}`,
    name,
    ca: order.ca,
    baseFolder,
    log: (line) => say({ kind: "trouble", line: `${name}: ${line}` }),
  });
  const board = simulatedBoard(number, { record: forwarding.record, publisher, truth: order.truth });
  return {
    board,
    forwarding,
    async close() {
      await Promise.all([publisher.close(), forwarding.close()]);
    },
  };
}

/** Each board at a moment of its own within the interval, until told to stop. */
async function play(boards: readonly Board[], every_ms: number): Promise<void> {
  let isForwarding = false;
  const now_ms = () => performance.timeOrigin + performance.now();
  const begin_ms = now_ms();
  const due_ms = boards.map((_, i) => begin_ms + (every_ms * i) / boards.length);
  while (!stop) {
    await sleep(tick_ms);
    if (!isForwarding && boards.every(({ forwarding }) => forwarding.sent() > 0)) {
      isForwarding = true;
      say({ kind: "forwarding" });
    }
    const moments: Moment[] = [];
    for (const [i, { board }] of boards.entries()) {
      const due = due_ms[i] ?? 0;
      const now = now_ms();
      if (now < due) continue;
      late_ms = Math.max(late_ms, now - due);
      due_ms[i] = due + every_ms;
      board.step(Math.round(now));
      moments.push([i, board.tally.level_m, now]);
    }
    if (moments.length > 0) say({ kind: "published", moments });
  }
}

async function untilNone(what: string, missing: () => readonly string[]): Promise<void> {
  const end_ms = performance.now() + patience_ms;
  for (;;) {
    const still = missing();
    if (still.length === 0) return;
    if (performance.now() > end_ms) {
      throw new Error(`not within ${patience_ms / 1000} s: ${what}; ${still.length} have not, as ${still[0]}`);
    }
    await sleep(100);
  }
}

function say(said: Said): void {
  process.send?.(said);
}

// One run with so many boards: machine up, boards enrolled, connected and measured for a while, then counted.

import { type ChildProcess, fork, spawn } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { setTimeout as sleep } from "node:timers/promises";
import { fileURLToPath } from "node:url";
import { enrol } from "../../../deploy/central/boards.ts";
import { prepareDatabase } from "../../../deploy/central/set-up.ts";
import { type CentralMachine, secretOf, startCentralMachine } from "../../real/central-machine.ts";
import { agesOf, type Moment } from "./ages.ts";
import { nameOf } from "./board-names.ts";
import type { BoardsOrder, Said } from "./boards.ts";
import { type Counted, countAll } from "./count-all.ts";
import { type PageWatch, watchPage } from "./page-watch.ts";
import { type Cost, costOf } from "./process-cost.ts";
import { quantile } from "./quantile.ts";
import type { TrueMessages } from "./true-messages.ts";

export interface Size {
  readonly boards: number;
  readonly every_s: number;
  /** Costs are taken over so long; the same for every size. */
  readonly measured_s: number;
  /** Then it goes on, up to so long in all. */
  readonly whole_s: number;
}

export const programs = ["broker", "database", "view"] as const;
export type Program = (typeof programs)[number];

export interface Measured {
  readonly boards: number;
  readonly measured_s: number;
  readonly whole_s: number;
  /** Before the first board came, at the end of the measured time, and at the end of all. */
  readonly idle: Readonly<Record<Program, Cost>>;
  readonly then: Readonly<Record<Program, Cost>>;
  readonly last: Readonly<Record<Program, Cost>>;
  /** Processor time in the measured time alone. */
  readonly cpu_s: Readonly<Record<Program, number>>;
  /** And over all of it. */
  readonly wholeCpu_s: Readonly<Record<Program, number>>;
  readonly levels: Ages;
  readonly alarms: Ages;
  readonly pageBytes: number;
  readonly counted: Counted;
  /** The boards' own process was behind by so much at worst. */
  readonly late_ms: number;
  readonly troubles: readonly string[];
  readonly enrolled_s: number;
  /** By all forwarders to the database, TLS not counted. */
  readonly forwarded_bytes: number;
  readonly disk_bytes: number;
}

export interface Ages {
  readonly count: number;
  readonly p50_ms: number;
  readonly p99_ms: number;
  readonly most_ms: number;
}

const project = fileURLToPath(new URL("../../..", import.meta.url));
/** After all have been heard. */
const settle_s = 15;
const patience_s = 180;

export async function measureSize(size: Size, truth: TrueMessages, log: (line: string) => void): Promise<Measured> {
  const here = await startCentralMachine();
  const children: ChildProcess[] = [];
  const killAll = () => children.forEach((child) => void child.kill());
  process.once("exit", killAll);
  try {
    await prepareDatabase(here.places);
    const names = Array.from({ length: size.boards }, (_, i) => nameOf(i));
    const enrolling_ms = performance.now();
    await enrol(
      here.places,
      names.map((name, i) => ({ name, words: { title: `Basin ${i}`, group: `Street ${i % 20}` } })),
    );
    await here.reloadBroker();
    const enrolled_s = (performance.now() - enrolling_ms) / 1000;
    log(`${size.boards} boards enrolled in ${enrolled_s.toFixed(1)} s`);
    const view = await startView(here);
    children.push(view);
    const pids = { broker: here.broker.pid ?? 0, database: here.database.pid ?? 0, view: view.pid ?? 0 };
    const costs = () => ({ broker: costOf(pids.broker), database: costOf(pids.database), view: costOf(pids.view) });
    const ca = readFileSync(join(here.places.tls, "ca.pem"));
    const staff = { name: "staff", password: secretOf(join(here.places.secrets, "staff")) };
    const page = await watchPage({ port: here.machine.pagePort, ca, ...staff });
    await sleep(3000);
    const idle = costs();

    const troubles: string[] = [];
    const boards = startBoards(here, size, truth, (line) => {
      if (troubles.length < 20) troubles.push(line);
    });
    children.push(boards.child);
    await untilHeard(page, size.boards);
    await boards.forwarding;
    await sleep(settle_s * 1000);
    log(`all ${size.boards} are heard; measuring ${size.measured_s} s, ${size.whole_s} s in all`);

    page.forget();
    const bytes = page.bytes;
    const begin = costs();
    await sleep(size.measured_s * 1000);
    const then = costs();
    await sleep((size.whole_s - size.measured_s) * 1000);
    const last = costs();
    const [levels, alarms] = [inQuantiles(agesOf(boards.published, page.levels)), inQuantiles(page.alarms_ms)];
    const pageBytes = page.bytes - bytes;

    const { tallies, late_ms, forwarded_bytes } = await boards.stop();
    await sleep(2000);
    const counted = await countAll(here, page, tallies);
    page.close();
    return {
      ...{ boards: size.boards, measured_s: size.measured_s, whole_s: size.whole_s, idle, then, last },
      cpu_s: cpuBetween(begin, then),
      wholeCpu_s: cpuBetween(begin, last),
      ...{ levels, alarms, pageBytes, counted, late_ms, troubles, enrolled_s, forwarded_bytes },
      disk_bytes: counted.disk_bytes,
    };
  } finally {
    killAll();
    process.off("exit", killAll);
    await here.dispose();
  }
}

/** `undercroft run --central`, as its unit starts it; back as soon as it says where its page is. */
async function startView(here: CentralMachine): Promise<ChildProcess> {
  const program = join(project, "daemon/undercroft.js");
  const child = spawn(process.execPath, [program, "run", "--central", here.places.centralFile], {
    stdio: ["ignore", "pipe", "inherit"],
    env: { ...process.env, MALLOC_ARENA_MAX: "1" },
  });
  for await (const line of createInterface({ input: child.stdout })) {
    if (!line.includes("https://")) continue;
    child.stdout.resume();
    return child;
  }
  throw new Error("the central view ended before it said where its page is");
}

function startBoards(here: CentralMachine, size: Size, truth: TrueMessages, trouble: (line: string) => void) {
  const child = fork(join(import.meta.dirname, "boards.ts"), { stdio: ["ignore", "inherit", "inherit", "ipc"] });
  const published: Moment[] = [];
  let isDone = false;
  const forwarding = Promise.withResolvers<void>();
  const done = new Promise<Extract<Said, { kind: "done" }>>((resolve, reject) => {
    child.on("message", (said: Said) => {
      if (said.kind === "published") published.push(...said.moments);
      else if (said.kind === "forwarding") forwarding.resolve();
      else if (said.kind === "trouble") trouble(`${isDone ? "at the end: " : ""}${said.line}`);
      else {
        isDone = true;
        resolve(said);
      }
    });
    child.once("exit", (code) => reject(new Error(`the boards' process ended with ${code}`)));
  });
  done.catch(() => {});
  const { brokerPort, databasePort } = here.machine;
  const order: BoardsOrder = {
    ...{ boards: size.boards, every_ms: size.every_s * 1000, truth, brokerPort, databasePort },
    ca: join(here.places.tls, "ca.pem"),
    passwords: here.places.boards,
  };
  child.send(order);
  return {
    child,
    published,
    forwarding: forwarding.promise,
    stop() {
      child.send("stop");
      return done;
    },
  };
}

async function untilHeard(page: PageWatch, boards: number): Promise<void> {
  const end_ms = performance.now() + patience_s * 1000;
  for (;;) {
    const { rows } = await page.whole();
    const silent = rows.filter(
      ({ connected, conditions }) => connected === false || conditions.some(({ kind }) => kind === "silent"),
    );
    if (rows.length === boards && silent.length === 0) return;
    if (performance.now() > end_ms) throw new Error(`${silent.length} of ${rows.length} boards are not heard`);
    await sleep(1000);
  }
}

function cpuBetween(begin: Readonly<Record<Program, Cost>>, end: Readonly<Record<Program, Cost>>) {
  const spent = (program: Program) => end[program].cpu_s - begin[program].cpu_s;
  return { broker: spent("broker"), database: spent("database"), view: spent("view") };
}

function inQuantiles(ages_ms: readonly number[]): Ages {
  const [p50_ms, p99_ms, most_ms] = [0.5, 0.99, 1].map((share) => quantile(ages_ms, share));
  return {
    count: ages_ms.length,
    p50_ms: p50_ms ?? Number.NaN,
    p99_ms: p99_ms ?? Number.NaN,
    most_ms: most_ms ?? Number.NaN,
  };
}

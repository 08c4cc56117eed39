// Kills the alarms at moments of chance between finding and delivery, again and again: what was to be told is told, and
// told twice only where nobody could know, and then marked. `node tests/fault/kill-alarms.ts 500` for a long run.

import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

export interface Killed {
  readonly kills: number;
  /** Beginnings and ends that were to be told. */
  readonly events: number;
  readonly lost: string[];
  /** Told more often than once, and of these not marked as perhaps repeated. */
  readonly repeated: number;
  readonly unmarked: string[];
}

const script = join(import.meta.dirname, "alarm-until-killed.ts");
/** Every second time it is told after that, and so is on the card a moment before. */
const delay_s = 0.5;
/** Until it is known how long the whole way takes here; a kill in that time meets each of its steps. */
const wayAtFirst_ms = 25;

export async function killAlarms(kills: number, random: () => number = Math.random): Promise<Killed> {
  const folder = mkdtempSync(join(tmpdir(), "killed-alarms-"));
  const events: string[] = [];
  let next = start(folder);
  let killed = 0;
  /** By the delay. */
  const ways_ms = new Map<number, number>();
  try {
    while (killed < kills) {
      // Hours apart, so that they are no chatter.
      const now_s = 1_700_000_000 + events.length * 7200;
      const raised = events.length % 2 === 0;
      const since_s = raised ? now_s : now_s - 7200;
      const delayed_s = events.length % 4 === 0 ? delay_s : 0;
      events.push(`${raised ? "raised" : "over"} ${since_s}`);
      for (let done = false; !done; ) {
        const child = next;
        next = start(folder);
        await child.ready;
        child.process.stdin?.write(`${since_s} ${now_s} ${raised ? 1 : 0} ${delayed_s}\n`);
        // Some are let live: what they did stands there as well.
        const wait_ms = random() < 0.2 ? 10_000 : random() * (ways_ms.get(delayed_s) ?? wayAtFirst_ms) * 1.1;
        const begun_ms = performance.now();
        done = await Promise.race([child.done.then(() => true), pause(wait_ms).then(() => false)]);
        killed += done ? 0 : 1;
        if (done) ways_ms.set(delayed_s, performance.now() - begun_ms);
        child.process.kill("SIGKILL");
        await once(child.process, "exit");
      }
    }
  } finally {
    next.process.kill("SIGKILL");
    await once(next.process, "exit");
  }
  const told = existsSync(join(folder, "told")) ? readFileSync(join(folder, "told"), "utf8").trim().split("\n") : [];
  rmSync(folder, { recursive: true });
  return judge(killed, events, told);
}

function judge(kills: number, events: readonly string[], told: readonly string[]): Killed {
  const of = (event: string) => told.filter((line) => line.startsWith(`${event} `));
  const repeated = events.filter((event) => of(event).length > 1);
  return {
    kills,
    events: events.length,
    lost: events.filter((event) => of(event).length === 0),
    repeated: repeated.length,
    unmarked: repeated.filter((event) => of(event).filter((line) => line.endsWith(" false")).length > 1),
  };
}

interface Child {
  readonly process: ChildProcess;
  readonly ready: Promise<void>;
  readonly done: Promise<void>;
}

/** Loaded and waiting while the one before it is killed. */
function start(folder: string): Child {
  const child = spawn(process.execPath, [script, folder], { stdio: ["pipe", "pipe", "inherit"] });
  child.stdin?.on("error", () => {});
  const heard = { ready: Promise.withResolvers<void>(), done: Promise.withResolvers<void>() };
  let text = "";
  child.stdout?.on("data", (chunk: Buffer) => {
    text += chunk.toString();
    if (text.includes("ready")) heard.ready.resolve();
    if (text.includes("done")) heard.done.resolve();
  });
  return { process: child, ready: heard.ready.promise, done: heard.done.promise };
}

function pause(wait_ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, wait_ms));
}

if (import.meta.main) console.log(await killAlarms(Number(process.argv[2] ?? 500)));

// Forwards the record to a shared database: in order, a round at a time, as fast as it goes without holding up the watch,
// and again until it is there. Whatever happens here, the basin is watched all the same.

import { durationInWords } from "../config/duration-in-words.ts";
import type { DatabaseConnection } from "../stores/influx/connection.ts";
import type { Point } from "../stores/influx/points.ts";
import { putBackWords } from "../stores/put-back-words.ts";
import type { PutBack } from "../stores/store.ts";
import type { ClockCheck } from "./clock-check.ts";
import type { Answer, DatabaseClient } from "./database-client.ts";
import { erasePoints } from "./erase-points.ts";
import type { ForwardHealth } from "./health.ts";
import { leftOut } from "./left-out.ts";
import type { NameClaim } from "./name-claim.ts";
import { pauses } from "./pauses.ts";
import type { RecordQueue } from "./record-queue.ts";
import { Trouble } from "./trouble.ts";
import { TooLarge, writePoints } from "./write-points.ts";

export interface ForwarderParts {
  readonly connection: DatabaseConnection;
  readonly basin: string;
  readonly client: DatabaseClient;
  readonly queue: RecordQueue;
  readonly claim: NameClaim;
  readonly clock: ClockCheck;
  /** The last time that a copy was put in the record's place. */
  readonly putBack: PutBack | null;
  /** What the basin is, told beside its record now and then. */
  facts(): Point;
  now_s(): number;
  log(line: string): void;
  readonly pace: Pace;
  /** From 0 to 1; spreads retries, so that a thousand boards do not come back at the same instant. */
  readonly random?: () => number;
}

export interface Pace {
  /** Readings wait for others so long at most. */
  readonly every_s: number;
  /** And after a cycle or a finding for what follows from it. */
  readonly together_s: number;
  /** Readings in a round. */
  readonly most: number;
  /** Pauses after the first fault, after many, and after a refusal. */
  readonly first_s: number;
  readonly longest_s: number;
  readonly refused_s: number;
  /** Whose the name is, is asked so often. */
  readonly claim_s: number;
  /** And what the basin is, is told. */
  readonly facts_s: number;
  /** Share of the main thread's time that it may take while it catches up. */
  readonly share: number;
}

export const usualPace: Omit<Pace, "every_s"> = {
  together_s: 0.2,
  most: 500,
  first_s: 1,
  longest_s: 300,
  refused_s: 600,
  claim_s: 600,
  facts_s: 600,
  share: 0.25,
};

export interface Forwarder {
  health(): ForwardHealth;
  /** Something that should not wait is in the record: a cycle, a finding. */
  nudge(): void;
  /** Once a second or so. */
  tick(): void;
  /** For measurements. */
  spent(): Spent;
  /** What is not sent by then is sent after the next start. */
  close(): Promise<void>;
}

export interface Spent {
  readonly readings: number;
  /** Of the main thread: in all, and the longest piece without a pause. */
  readonly busy_ms: number;
  readonly longest_ms: number;
  /** Heads and bodies. */
  readonly sent_B: number;
}

export function startForwarder(parts: ForwarderParts): Forwarder {
  const { connection, basin, client, queue, claim, clock, pace, log, now_s, random = Math.random } = parts;
  const idle = pauses(pace.together_s);
  const left = leftOut(log);
  let claimedAt_s: number | null = null;
  let namesUnread = false;
  let most = pace.most;
  let failures = 0;
  let trouble: { readonly kind: Trouble["kind"]; readonly message: string; readonly since_s: number } | null = null;
  let retryAt_s: number | null = null;
  let lastSuccess_s: number | null = null;
  let catchingUp = false;
  let sent = 0;
  let factsAt_s: number | null = null;
  let busy_ms = 0;
  let lastBusy_ms = 0;
  let longest_ms = 0;
  const heard = ({ date_s }: Pick<Answer, "date_s">) => clock.heard(date_s);

  async function run(): Promise<void> {
    while (!idle.stopped) {
      try {
        await checkName();
        const isAll = await sendSome();
        well();
        if (isAll) await idle.waitForNudge(pace.every_s);
      } catch (error) {
        if (idle.stopped) return;
        await idle.wait(failed(error));
      }
    }
  }

  async function checkName(): Promise<void> {
    if (claimedAt_s !== null && now_s() - claimedAt_s < pace.claim_s) return;
    const isKnown = await claim.check();
    if (claimedAt_s === null && isKnown === false) queue.startAnew();
    if (isKnown === null && !namesUnread) {
      log(`forward: ${unreadNames}`);
    }
    namesUnread = isKnown === null;
    claimedAt_s = now_s();
  }

  /** @returns whether nothing more is to be sent for now */
  async function sendSome(): Promise<boolean> {
    const start_ms = performance.now();
    lastBusy_ms = 0;
    const round = timed(() => queue.next({ most, ...clock.limits() }));
    left.note(queue.lag(), clock.note());
    const facts = factsAt_s === null || now_s() - factsAt_s > pace.facts_s ? timed(parts.facts) : null;
    try {
      for (const part of round?.erase ?? []) await erasePoints(client, connection, basin, part, heard);
      const points = [...(round?.points ?? []), ...(facts === null ? [] : [facts])];
      // One reading may bring a cycle and the sums of an hour with it, which no smaller round would part.
      left.add(await writePoints(client, connection, points, heard, timed, most === 1));
    } catch (error) {
      if (!(error instanceof TooLarge)) throw error;
      most = Math.max(1, Math.floor(most / 2));
      return false;
    }
    if (facts !== null) factsAt_s = now_s();
    if (round !== null) timed(round.commit);
    sent += round?.readings ?? 0;
    if (most < pace.most) most = Math.min(pace.most, most + Math.ceil(most / 16));
    catchingUp = round !== null && !round.isLast;
    if (!catchingUp) return true;
    const took_ms = performance.now() - start_ms;
    const mine_ms = lastBusy_ms / pace.share;
    if (mine_ms > took_ms) await idle.wait((mine_ms - took_ms) / 1000);
    return false;
  }

  function timed<T>(work: () => T): T {
    const start_ms = performance.now();
    try {
      return work();
    } finally {
      const took_ms = performance.now() - start_ms;
      busy_ms += took_ms;
      longest_ms = Math.max(longest_ms, took_ms);
      lastBusy_ms += took_ms;
    }
  }

  function well(): void {
    lastSuccess_s = now_s();
    failures = 0;
    retryAt_s = null;
    if (trouble !== null)
      log(`forward: the database takes points again after ${durationInWords(now_s() - trouble.since_s)}`);
    trouble = null;
  }

  /** @returns how long to wait */
  function failed(error: unknown): number {
    const found =
      error instanceof Trouble
        ? error
        : new Trouble("refused", `a fault of this program: ${error instanceof Error ? error.message : error}`);
    failures++;
    claimedAt_s = null; // who knows what the database is when it comes back
    const { kind, message, retryAfter_s } = found;
    const usual_s = kind === "refused" ? pace.refused_s : Math.min(pace.longest_s, pace.first_s * 2 ** (failures - 1));
    const wait_s = Math.max(usual_s * (0.5 + random() / 2), Math.min(retryAfter_s ?? 0, 3600));
    if (trouble?.message !== message) {
      log(`forward: ${message}; tried again in ${durationInWords(wait_s)}, and what is to be sent stays on the card`);
    }
    trouble = { kind, message, since_s: trouble?.since_s ?? now_s() };
    retryAt_s = now_s() + wait_s;
    return wait_s;
  }

  /** Said for a month: whoever looks at the record from afar sees more than the board has. */
  function putBackNote(): string | null {
    const { putBack } = parts;
    if (putBack === null || now_s() - putBack.at_s > saidFor_s) return null;
    return `${putBackWords(putBack)}; what had been sent of it stays in the database, and new readings follow it`;
  }

  const done = run();

  return {
    health() {
      const lag = queue.lag();
      const clockNote = clock.note();
      const notes = [clockNote, putBackNote(), ...left.notes(lag, clockNote), namesUnread ? unreadNames : null];
      const state =
        trouble?.kind === "refused" ? "refused" : trouble !== null ? "waiting" : catchingUp ? "sending" : "current";
      return {
        basin,
        state,
        waiting: lag.waiting,
        oldest_s: lag.oldest_s,
        lastSuccess_s,
        error: trouble?.message ?? null,
        retryAt_s,
        notes: notes.filter((note) => note !== null),
      };
    },
    nudge: idle.nudge,
    tick: queue.look,
    spent: () => ({ readings: sent, busy_ms, longest_ms, sent_B: client.sent_B() }),
    async close() {
      idle.stop();
      client.close();
      await done;
    },
  };
}

const saidFor_s = 30 * 86_400;
const unreadNames =
  "the names of boards cannot be read there, so that a second board of the same name would not be noticed";

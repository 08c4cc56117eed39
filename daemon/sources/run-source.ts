// Keeps one source going: opens it, counts what it says, opens it again after a fault, and closes it in time. What a
// source does wrong ends here; it never takes the daemon down.

import type { Site } from "../../analysis/site.ts";
import type { Clock } from "../clock.ts";
import type { SourceConfig } from "../config/site-file.ts";
import { explainUnfitReading } from "./explain-unfit-reading.ts";
import { type Schedule, schedule as systemSchedule } from "./schedule.ts";
import type { OpenSource, SourceContext, SourceHealth, SourceKind, SourceReading } from "./source.ts";

export interface SourceSurroundings {
  readonly clock: Pick<Clock, "now_s">;
  readonly site: Site;
  readonly baseFolder: string;
  /** Time of the newest reading on record when the daemon starts. */
  readonly lastReading_s?: number | null;
  onReading(reading: SourceReading): void;
  /** The state or the reason for it is another; not called for every reading. */
  onChange?(health: SourceHealth): void;
  /** One line when a fault begins, and one when it is over. */
  log?(line: string): void;
  readonly schedule?: Schedule;
  /** From 0 to 1; spreads retries, so that several boards do not come back at the same instant. */
  readonly random?: () => number;
}

export interface RunningSource {
  readonly name: string;
  readonly kind: string;
  /** Its readings are not of a real basin. */
  readonly invented: boolean;
  health(): SourceHealth;
  /** Null for a source of a real basin, and while the source is not open. */
  speed(): NonNullable<OpenSource["speed"]> | null;
  /** Returns within about three seconds, whatever the source does. Nothing is emitted afterwards. */
  close(): Promise<void>;
}

const longestRetry_s = 60;
const longestClose_s = 3;

/** From the opening of a source to its fault or its close. */
interface Attempt {
  readonly startedAt_s: number;
  over: boolean;
  opened: OpenSource | null;
  done: Promise<void>;
}

export function runSource(kind: SourceKind, config: SourceConfig, around: SourceSurroundings): RunningSource {
  const { clock, schedule = systemSchedule, random = Math.random } = around;
  const { name } = config;
  let attempt: Attempt;
  let failures = 0;
  let troubledSince_s: number | null = null;
  let cancelRetry = () => {};
  let health: SourceHealth = {
    name,
    kind: kind.kind,
    state: "starting",
    since_s: clock.now_s(),
    lastReading_s: null,
    accepted: 0,
    rejected: 0,
    lastRejection: null,
    error: null,
    retryAt_s: null,
  };
  start();
  return {
    name,
    kind: kind.kind,
    invented: kind.invented ?? false,
    health: () => health,
    speed: () => attempt.opened?.speed ?? null,
    close,
  };

  function start(): void {
    const next: Attempt = { startedAt_s: clock.now_s(), over: false, opened: null, done: Promise.resolve() };
    attempt = next;
    next.done = open(next);
  }

  async function open(mine: Attempt): Promise<void> {
    try {
      const opened = await kind.open(config, contextOf(mine));
      mine.opened = opened;
      if (mine.over) await closeQuietly(mine);
      else if (health.state === "starting") enter("running", null);
    } catch (error) {
      fail(mine, error);
    }
  }

  function contextOf(mine: Attempt): SourceContext {
    const whileOpen =
      <Said extends unknown[]>(act: (...said: Said) => void) =>
      (...said: Said) => {
        if (!mine.over && health.state !== "finished") act(...said);
      };
    return {
      site: around.site,
      baseFolder: around.baseFolder,
      lastReading_s: health.lastReading_s ?? around.lastReading_s ?? null,
      now_s: () => clock.now_s(),
      emit: whileOpen(take),
      reject: whileOpen(reject),
      fail: (error) => fail(mine, error),
      troubled: whileOpen((reason: string | null) => {
        if (reason === null) enter("running", null);
        else enter("waiting-to-retry", reason);
      }),
      finished: whileOpen(() => {
        around.log?.(`${kind.kind} "${name}": has come to its end`);
        enter("finished", null);
      }),
    };
  }

  function take(reading: SourceReading): void {
    const unfit = explainUnfitReading(reading);
    if (unfit === null) {
      health = { ...health, accepted: health.accepted + 1, lastReading_s: reading.time_s };
      around.onReading(reading);
    } else reject(unfit);
  }

  function reject(reason: string): void {
    health = { ...health, rejected: health.rejected + 1, lastRejection: reason };
  }

  function fail(mine: Attempt, error: unknown): void {
    if (mine.over) return;
    mine.over = true;
    if (mine.opened !== null) mine.done = closeQuietly(mine);
    failures = clock.now_s() - mine.startedAt_s > longestRetry_s ? 1 : failures + 1;
    const wait_s = Math.min(longestRetry_s, 2 ** (failures - 1)) * (1 - random() / 4);
    enter("waiting-to-retry", error instanceof Error ? error.message : String(error), clock.now_s() + wait_s);
    cancelRetry = schedule(() => {
      enter("starting", health.error);
      start();
    }, wait_s);
  }

  function enter(state: SourceHealth["state"], error: string | null, retryAt_s: number | null = null): void {
    if (state === health.state && error === health.error && retryAt_s === health.retryAt_s) return;
    const since_s = state === health.state ? health.since_s : clock.now_s();
    logChange(error);
    health = { ...health, state, since_s, error, retryAt_s };
    around.onChange?.(health);
  }

  function logChange(error: string | null): void {
    const now_s = clock.now_s();
    if (error !== null && error !== health.error) around.log?.(`${kind.kind} "${name}": ${error}`);
    if (error !== null) troubledSince_s ??= now_s;
    else if (troubledSince_s !== null) {
      around.log?.(`${kind.kind} "${name}": back after ${Math.round(now_s - troubledSince_s)} s`);
      troubledSince_s = null;
    }
  }

  async function close(): Promise<void> {
    cancelRetry();
    const last = attempt;
    if (!last.over && last.opened !== null) last.done = closeQuietly(last);
    last.over = true;
    await atMost(longestClose_s, last.done);
  }

  // Whatever goes wrong while closing, there is nobody left whom it concerns.
  async function closeQuietly({ opened }: Attempt): Promise<void> {
    try {
      await opened?.close();
    } catch (error) {
      around.log?.(`${kind.kind} "${name}": while closing: ${error instanceof Error ? error.message : error}`);
    }
  }

  async function atMost(limit_s: number, work: Promise<void>): Promise<void> {
    let cancel = () => {};
    await Promise.race([work, new Promise<void>((resolve) => (cancel = schedule(resolve, limit_s)))]);
    cancel();
  }
}

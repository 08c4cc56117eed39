import { describe, expect, it } from "vitest";
import * as z from "zod";
import { type RunningSource, runSource, type SourceSurroundings } from "../../../daemon/sources/run-source.ts";
import {
  defineSource,
  type OpenSource,
  type SourceContext,
  type SourceReading,
} from "../../../daemon/sources/source.ts";
import { bareSite } from "./listening-context.ts";

/** A daemon around one source, with a clock that only the test turns. */
function bench(open: (context: SourceContext) => OpenSource | Promise<OpenSource>) {
  let now_s = 1000;
  let timers: { at_s: number; run: () => void }[] = [];
  const readings: SourceReading[] = [];
  const log: string[] = [];
  const kind = defineSource({
    kind: "scripted",
    config: z.strictObject({ kind: z.literal("scripted"), name: z.string() }),
    open: (_config, context) => open(context),
  });
  const around: SourceSurroundings = {
    clock: { now_s: () => now_s },
    site: bareSite,
    baseFolder: "/",
    random: () => 0,
    schedule(run, wait_s) {
      const timer = { at_s: now_s + wait_s, run };
      timers.push(timer);
      return () => {
        timers = timers.filter((other) => other !== timer);
      };
    },
    onReading: (reading) => readings.push(reading),
    log: (line) => log.push(line),
  };
  return {
    readings,
    log,
    timers: () => timers.length,
    run: (): RunningSource => runSource(kind, { kind: "scripted", name: "bench" }, around),
    async pass(seconds: number) {
      now_s += seconds;
      const due = timers.filter(({ at_s }) => at_s <= now_s);
      timers = timers.filter(({ at_s }) => at_s > now_s);
      for (const { run } of due) run();
      await settle();
    },
  };
}

async function settle(): Promise<void> {
  await new Promise((resolve) => setImmediate(resolve));
}

describe("runSource", () => {
  it("passes readings on and counts them", async () => {
    const { run, readings } = bench(({ emit, now_s }) => {
      emit({ time_s: now_s(), level_m: 0.2 });
      emit({ time_s: now_s() + 1, pumpOn: true, level_m: null });
      return { close: () => {} };
    });
    const source = run();
    await settle();
    expect(readings).toEqual([
      { time_s: 1000, level_m: 0.2 },
      { time_s: 1001, pumpOn: true, level_m: null },
    ]);
    expect(source.health()).toMatchObject({ state: "running", accepted: 2, rejected: 0, lastReading_s: 1001 });
  });

  it("rejects what is no reading, and says why", async () => {
    const { run, readings } = bench(({ emit, reject }) => {
      emit({ time_s: Number.NaN, level_m: 0.2 });
      emit({ time_s: 1, level_m: Number.POSITIVE_INFINITY });
      reject('topic basement/level: expected a number in mm, found "abc"');
      return { close: () => {} };
    });
    const source = run();
    await settle();
    expect(readings).toEqual([]);
    expect(source.health()).toMatchObject({
      accepted: 0,
      rejected: 3,
      lastRejection: 'topic basement/level: expected a number in mm, found "abc"',
    });
  });

  it("opens a source that cannot be opened again after 1, 2, 4 … 60 s", async () => {
    let tries = 0;
    const { run, pass } = bench(() => {
      tries++;
      throw new Error("no such line");
    });
    const source = run();
    await settle();
    const waits: number[] = [];
    for (let n = 0; n < 8; n++) {
      const { state, retryAt_s, since_s, error } = source.health();
      expect([state, error]).toEqual(["waiting-to-retry", "no such line"]);
      waits.push((retryAt_s ?? 0) - since_s);
      await pass((retryAt_s ?? 0) - since_s);
    }
    expect(waits).toEqual([1, 2, 4, 8, 16, 32, 60, 60]);
    expect(tries).toBe(9);
  });

  it("starts again from 1 s after a source that had run for long", async () => {
    const contexts: SourceContext[] = [];
    const { run, pass } = bench((context) => {
      contexts.push(context);
      return { close: () => {} };
    });
    const source = run();
    await settle();
    contexts[0]?.fail(new Error("gone"));
    await pass(1);
    contexts[1]?.fail(new Error("gone"));
    expect(source.health().retryAt_s).toBe(1003);
    await pass(2);
    await pass(100);
    contexts[2]?.fail(new Error("gone"));
    expect(source.health().retryAt_s).toBe(1104);
  });

  it("closes a source that failed, and hears it no more", async () => {
    let closed = 0;
    let context: SourceContext | undefined;
    const { run, readings, log, pass } = bench((given) => {
      context ??= given;
      return { close: () => void closed++ };
    });
    const source = run();
    await settle();
    context?.fail(new Error("chip removed"));
    context?.emit({ time_s: 1 });
    context?.fail(new Error("again"));
    expect([closed, readings.length, source.health().error]).toEqual([1, 0, "chip removed"]);
    await pass(1);
    expect(source.health()).toMatchObject({ state: "running", error: null, retryAt_s: null });
    expect(log).toEqual(['scripted "bench": chip removed', 'scripted "bench": back after 1 s']);
  });

  it("closes what a source opened after it had already failed", async () => {
    let closed = 0;
    const { run } = bench(async (context) => {
      context.fail(new Error("lost while opening"));
      return { close: () => void closed++ };
    });
    const source = run();
    await settle();
    expect([closed, source.health().state]).toEqual([1, "waiting-to-retry"]);
  });

  it("shows a trouble that the source sees to itself", async () => {
    let context: SourceContext | undefined;
    const { run, timers } = bench((given) => {
      context = given;
      return { close: () => {} };
    });
    const source = run();
    await settle();
    context?.troubled?.("broker away");
    expect(source.health()).toMatchObject({ state: "waiting-to-retry", error: "broker away", retryAt_s: null });
    expect(timers()).toBe(0);
    context?.troubled?.(null);
    expect(source.health()).toMatchObject({ state: "running", error: null });
  });

  it("keeps the speed of a source that has finished", async () => {
    const speed = { get: () => 60, set: () => {}, max: 100 };
    const { run } = bench((context) => {
      context.finished();
      return { close: () => {}, speed };
    });
    const source = run();
    await settle();
    expect(source.health().state).toBe("finished");
    expect(source.speed()).toBe(speed);
  });

  it("closes within 3 s even when the source does not", async () => {
    const { run, pass } = bench(() => ({ close: () => new Promise<void>(() => {}) }));
    const source = run();
    await settle();
    let closed = false;
    void source.close().then(() => {
      closed = true;
    });
    await pass(2.9);
    expect(closed).toBe(false);
    await pass(0.1);
    expect(closed).toBe(true);
  });

  it("leaves no timer behind when it is closed while it waits", async () => {
    const { run, timers } = bench(() => {
      throw new Error("no such line");
    });
    const source = run();
    await settle();
    expect(timers()).toBe(1);
    await source.close();
    expect(timers()).toBe(0);
  });

  it("says what went wrong while closing, and goes on", async () => {
    const { run, log } = bench(() => ({
      close: () => {
        throw new Error("unexport refused");
      },
    }));
    const source = run();
    await settle();
    await source.close();
    expect(log).toEqual(['scripted "bench": while closing: unexport refused']);
  });
});

// The simulated house as a source: takes its readings when they are due, at the speed it is played. What the house does
// stands in simulated/house.ts.

import * as z from "zod";
import { quantity } from "../config/quantity.ts";
import { simulatedHouse } from "./simulated/house.ts";
import { scenarioNames, scenarios } from "./simulated/scenarios.ts";
import type { SourceContext } from "./source.ts";
import { defineSource } from "./source.ts";

const slowest = 1;
const fastest = 10_000;
/** Longest turn of work before everything else in the process has its own. */
const batch_ms = 10;
const shortestWait_ms = 20;
/** How far play may fall behind (in wall time) before the missing time is let go rather than caught up with. */
const patience_s = 1;

const scenarioList = scenarioNames.map((name) => `\`${name}\` (${scenarios[name].summary})`).join("; ");

const config = z.lazy(() =>
  z.strictObject({
    kind: z.literal("simulated"),
    name: z.string().min(1).describe("shown on the page"),
    scenario: z.enum(scenarioNames).default("wet-week").describe(scenarioList),
    seed: z
      .int()
      .min(0)
      .max(2 ** 31)
      .default(1)
      .describe("the same seed gives the same weather and the same noise"),
    speed: z
      .number()
      .min(slowest)
      .max(fastest)
      .default(60)
      .describe("seconds of the house's time that pass in one, 1 to 10,000; the page has a control for it"),
    sample_period: quantity("duration", { min: "0.1 s", max: "60 s" })
      .prefault("1 s")
      .describe("time from reading to reading, in the house's time"),
    start_time: z.iso
      .datetime({ offset: true })
      .optional()
      .describe("when the house's time begins; by default now, or where the record ends if that is later"),
    play_for: quantity("duration", { min: "1 min" })
      .optional()
      .describe("the house's time that is played, such as `60 d`; without it there is no end"),
  }),
);

export const simulated = defineSource({
  kind: "simulated",
  config,
  invented: true,

  open(config, context) {
    const house = simulatedHouse({
      site: context.site,
      scenario: config.scenario,
      seed: config.seed,
      samplePeriod_s: config.sample_period,
      startTime_s: startTime_s(config.start_time, config.sample_period, context),
    });
    const end_s = house.nextTime_s() + (config.play_for ?? Number.POSITIVE_INFINITY);
    const play = playingTime(house.nextTime_s(), config.speed, context.now_s);
    let timer: NodeJS.Timeout | undefined;

    function turn(): void {
      const until_s = Math.min(play.time_s(), end_s);
      const began_ms = performance.now();
      while (house.nextTime_s() <= until_s && performance.now() - began_ms < batch_ms) context.emit(house.next());
      if (house.nextTime_s() > end_s) {
        context.finished();
        return;
      }
      const wait_s = (house.nextTime_s() - play.time_s()) / play.speed();
      if (wait_s < -patience_s) play.carryOnFrom(house.nextTime_s());
      timer = setTimeout(turn, wait_s < 0 ? 1 : Math.max(shortestWait_ms, 1000 * wait_s));
    }

    function setSpeed(speed: number): void {
      if (!(speed >= slowest && speed <= fastest)) {
        throw new RangeError(`simulated "${config.name}": the speed is ${speed}; expected ${slowest} to ${fastest}`);
      }
      play.setSpeed(speed);
      if (house.nextTime_s() > end_s) return;
      clearTimeout(timer);
      timer = setTimeout(turn, 0);
    }

    timer = setTimeout(turn, 0);
    return {
      close: () => clearTimeout(timer),
      speed: { get: play.speed, set: setSpeed, max: fastest },
    };
  },
});

/** After a restart the house's time, which ran ahead of the clock, must not go back to readings that were had already. */
function startTime_s(given: string | undefined, samplePeriod_s: number, context: SourceContext): number {
  const wanted_s = given === undefined ? Math.ceil(context.now_s()) : Date.parse(given) / 1000;
  const last_s = context.lastReading_s ?? null;
  return last_s === null ? wanted_s : Math.max(wanted_s, Math.ceil(last_s + samplePeriod_s));
}

/** A time that passes `speed` times as fast as the clock. */
function playingTime(from_s: number, initialSpeed: number, now_s: () => number) {
  let speed = initialSpeed;
  let from = { played_s: from_s, clock_s: now_s() };
  const time_s = () => from.played_s + (now_s() - from.clock_s) * speed;
  const carryOnFrom = (played_s: number) => {
    from = { played_s, clock_s: now_s() };
  };
  return {
    time_s,
    carryOnFrom,
    speed: () => speed,
    setSpeed(wanted: number): void {
      carryOnFrom(time_s());
      speed = wanted;
    },
  };
}

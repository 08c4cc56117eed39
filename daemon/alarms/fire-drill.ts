// A fire drill: the supply of a basin that does not exist fails, and that goes the whole way from a reading to a channel
// that leads nowhere. What is run once in months would else be run first when it matters: code that is not compiled yet, or not any
// more, takes ten times as long. And what fails in the drill is known before the night in which it would fail.

import { setImmediate as nextTurn } from "node:timers/promises";
import type { AlarmDefinition, Care } from "../../analysis/alarms/alarm.ts";
import { createAnalyzer } from "../../analysis/analyzer.ts";
import { silentReading } from "../../analysis/readings/reading.ts";
import type { Site } from "../../analysis/site.ts";
import type { Schedule } from "../sources/schedule.ts";
import { startAlarmService } from "./alarm-service.ts";
import { type AlarmsConfig, nobodyTold } from "./alarms-config.ts";
import type { OutgoingMessage } from "./channels/channel.ts";
import { openOutbox } from "./outbox/outbox.ts";

export interface DrillParts {
  readonly site: Site;
  readonly definitions: readonly AlarmDefinition[];
  readonly config: Pick<AlarmsConfig, "pageAddress" | "callAgain">;
  readonly now_s: number;
}

const nowhere = "nowhere";
const nobody = { name: "nobody", reach: [{ by: nowhere, to: nowhere }], quiet: null, mostAnHour: 60 } as const;
/** Further apart than what counts as chattering. */
const apart_s = 7200;
const every_s = 10;
/** Its delay: a moment before its end what is to be told is put where it is kept. */
const delay_s = 5;
/** Readings that a rate of rise is made of, and after which what has ended is over. */
const readings = 8;
const drilled = "supply-lost";

/**
 * @param isEnough asked before each round
 * @throws {Error} when what was to be told is not
 */
export async function fireDrill(
  { site, definitions, config, now_s }: DrillParts,
  rounds: number,
  isEnough = () => false,
): Promise<void> {
  const clock = drillClock(now_s);
  const said: OutgoingMessage[] = [];
  const analyzer = createAnalyzer(site);
  const outbox = openOutbox(null, { now_s: clock.now_s });
  const service = startAlarmService({
    site,
    config: {
      ...nobodyTold,
      pageAddress: config.pageAddress,
      callAgain: config.callAgain,
      contacts: [nobody],
      call: [{ contacts: [nobody.name], after_s: 0 }],
    },
    definitions: definitions.map((each) => ({ ...each, ...(each.name === drilled ? afterDelay : notInDrill) })),
    outbox,
    channels: new Map([[nowhere, { name: nowhere, comparesKeys: true, takesReplies: true, channel: channelTo(said) }]]),
    care: () => allWell,
    now_s: clock.now_s,
    schedule: clock.schedule,
    random: () => 0.5,
    log() {},
  });
  const read = (mainsOn: boolean, level_m: number) => {
    analyzer.push({ ...silentReading, time_s: clock.now_s(), mainsOn, level_m });
    service.see({ ...analyzer.situation(), level_m });
    return clock.pass(every_s);
  };
  try {
    for (let round = 1; round <= rounds && !isEnough(); round++) {
      for (let i = 0; i < readings; i++) await read(true, 0.1 + i * 0.005);
      await read(false, 0.1 + readings * 0.005);
      for (let i = 0; i < readings; i++) await read(true, 0.1);
      if (said.length !== 2 * round) throw new Error(`expected ${2 * round} messages of a drill, found ${said.length}`);
      await clock.pass(apart_s);
    }
  } finally {
    await service.close();
  }
}

/** A site may have others told at once, too: what the drill counts on is the supply alone. */
const notInDrill = { onDelay_s: apart_s } as const;
const afterDelay = { priority: "high", onDelay_s: delay_s, offDelay_s: 0, latching: false } as const;

/** Stands still but where it is told to pass. */
function drillClock(start_s: number) {
  let time_s = start_s;
  let timers: { readonly at_s: number; readonly run: () => void }[] = [];
  const schedule: Schedule = (run, wait_s) => {
    const timer = { at_s: time_s + wait_s, run };
    timers.push(timer);
    return () => {
      timers = timers.filter((each) => each !== timer);
    };
  };
  return {
    now_s: () => time_s,
    schedule,
    /** Runs what is due on the way. */
    async pass(wait_s: number): Promise<void> {
      const until_s = time_s + wait_s;
      for (;;) {
        await nextTurn(); // until it is known what became of a message
        const [next] = timers.toSorted((a, b) => a.at_s - b.at_s);
        if (next === undefined || next.at_s > until_s) break;
        timers = timers.filter((each) => each !== next);
        time_s = Math.max(time_s, next.at_s);
        next.run();
      }
      time_s = until_s;
    },
  };
}

function channelTo(said: OutgoingMessage[]) {
  return {
    async send(message: OutgoingMessage) {
      if (JSON.stringify(message.data.alarms).includes(drilled)) said.push(message);
      return { is: "delivered" } as const;
    },
    health: () => ({ problem: null, note: null }),
    close() {},
  };
}

const allWell: Care = {
  ...{ silentSince_s: null, interrupted: null, serviceDue_s: null, boardBattery: null },
  ...{ lastRun_s: null, unusualPause_s: null, muchWhileDry: null },
};

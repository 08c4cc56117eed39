// A fire drill: high water in a basin that does not exist goes the whole way, from what is true to a channel that leads
// nowhere. What is run once in months would else be run first when it matters: code that is not compiled yet, or not any
// more, takes ten times as long. And what fails in the drill is known before the night in which it would fail.

import { setImmediate as nextTurn } from "node:timers/promises";
import type { AlarmDefinition, Care } from "../../analysis/alarms/alarm.ts";
import type { Situation } from "../../analysis/analyzer.ts";
import type { Site } from "../../analysis/site.ts";
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
/** Readings that a rate of rise is made of. */
const readings = 8;
const every_s = 10;

/**
 * @param isEnough asked before each round
 * @throws {Error} when what was to be told is not
 */
export async function fireDrill(
  { site, definitions, config, now_s }: DrillParts,
  rounds: number,
  isEnough = () => false,
): Promise<void> {
  let time_s = now_s;
  const said: OutgoingMessage[] = [];
  const outbox = openOutbox(null, { now_s: () => time_s });
  const service = startAlarmService({
    site,
    config: {
      ...nobodyTold,
      pageAddress: config.pageAddress,
      callAgain: config.callAgain,
      contacts: [nobody],
      call: [{ contacts: [nobody.name], after_s: 0 }],
    },
    definitions: definitions.map((each) => ({ ...each, ...(each.name === "high-water" ? atOnce : notInDrill) })),
    outbox,
    channels: new Map([[nowhere, { name: nowhere, comparesKeys: true, takesReplies: true, channel: channelTo(said) }]]),
    care: () => allWell,
    now_s: () => time_s,
    schedule: () => () => {},
    random: () => 0.5,
    log() {},
  });
  try {
    for (let round = 1; round <= rounds && !isEnough(); round++) {
      for (let i = 0; i < readings; i++) {
        time_s += every_s;
        service.see(risen(time_s, i * 0.005, null));
      }
      time_s += every_s;
      service.see(risen(time_s, readings * 0.005, time_s));
      await nextTurn(); // until it is known what became of it
      time_s += every_s;
      service.see(risen(time_s, 0, null));
      await nextTurn();
      if (said.length !== 2 * round) throw new Error(`expected ${2 * round} messages of a drill, found ${said.length}`);
      time_s += apart_s;
    }
  } finally {
    await service.close();
  }
}

/** A site may have others told at once, too: what the drill counts on is high water alone. */
const notInDrill = { onDelay_s: apart_s } as const;
const atOnce = { priority: "high", onDelay_s: 0, offDelay_s: 0, latching: false } as const;

function channelTo(said: OutgoingMessage[]) {
  return {
    async send(message: OutgoingMessage) {
      said.push(message);
      return { is: "delivered" } as const;
    },
    health: () => ({ problem: null, note: null }),
    close() {},
  };
}

/** @param high_s since when the water is high; null: it is not */
function risen(time_s: number, by_m: number, high_s: number | null): Situation {
  const isHigh = high_s !== null;
  return {
    ...{ time_s, level_m: 0.3 + by_m, pumpRunning: false, pumpSince_s: null, floatOn: isHigh, highFloat: isHigh },
    ...{ mainsOn: !isHigh, inflow: null, pumpRate: null, levelRate_ms: null, startsInLastHour: 0 },
    openFindings: isHigh
      ? [{ kind: "high-water", severity: "critical", from_s: high_s, to_s: null, evidence: {}, message: "" }]
      : [],
  };
}

const allWell: Care = {
  ...{ silentSince_s: null, interrupted: null, serviceDue_s: null, boardBattery: null },
  ...{ lastRun_s: null, unusualPause_s: null, muchWhileDry: null },
};

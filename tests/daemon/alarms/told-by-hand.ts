// The alarms of an invented house with channels that note what they are given and answer as the test says.

import type { AlarmName, Care } from "../../../analysis/alarms/alarm.ts";
import type { AlarmChanges } from "../../../analysis/alarms/changed-table.ts";
import { changedTable } from "../../../analysis/alarms/changed-table.ts";
import type { Situation } from "../../../analysis/analyzer.ts";
import type { Finding } from "../../../analysis/findings/finding.ts";
import type { Site } from "../../../analysis/site.ts";
import { type AlarmService, startAlarmService } from "../../../daemon/alarms/alarm-service.ts";
import { type AlarmsConfig, nobodyTold } from "../../../daemon/alarms/alarms-config.ts";
import type { Outcome, OutgoingMessage } from "../../../daemon/alarms/channels/channel.ts";
import type { ChannelAtWork } from "../../../daemon/alarms/channels/channel-at-work.ts";
import { openOutbox } from "../../../daemon/alarms/outbox/outbox.ts";
import { allWell, calm } from "../../analysis/alarms/alarm-input.ts";
import { smallSite } from "../../analysis/small-basin.ts";
import { type TurnedClock, turnedClock } from "./turned-clock.ts";

export interface Sent extends OutgoingMessage {
  readonly at_s: number;
  readonly by: string;
}

export interface House {
  readonly clock: TurnedClock;
  readonly sent: Sent[];
  /** What each channel was told to silence, and to go on with after the start: `mail n@example.org high-water-1 high`. */
  readonly silenced: string[];
  readonly resumed: string[];
  readonly log: string[];
  readonly service: AlarmService;
  readonly channels: ReadonlyMap<string, ChannelAtWork>;
  /** What the channels answer from now on; delivered at first. */
  answer(by: string, outcome: Outcome | Promise<Outcome>): void;
  /** What a channel says of itself from now on. */
  trouble(by: string, problem: string | null): void;
  /** At a time: findings that are open then. */
  see(
    time_s: number,
    findings?: readonly Finding[],
    situation?: Partial<Situation>,
    care?: Partial<Care>,
  ): Promise<void>;
  close(): Promise<void>;
}

const replies = new Set(["modem"]);
/** Nobody goes round again, unless the test is about that. */
const once = { after_s: 900, times: 0 };

/**
 * @param path    of the outbox; the channels are called `modem` (takes replies) and `mail`
 * @param ownCare what the daemon knows of itself; by default what `see` is given
 */
export function house(
  path: string,
  config: Partial<AlarmsConfig> = {},
  start_s = 1_700_000_000,
  site: Site = smallSite,
  clock: TurnedClock = turnedClock(start_s),
  ownCare: ((situation: Situation) => Care) | null = null,
): House {
  const sent: Sent[] = [];
  const silenced: string[] = [];
  const resumed: string[] = [];
  const log: string[] = [];
  const outcomes = new Map<string, Outcome | Promise<Outcome>>();
  const problems = new Map<string, string | null>();
  let care: Care = allWell;
  const channels = new Map<string, ChannelAtWork>(
    ["modem", "mail"].map((name) => [
      name,
      {
        name,
        comparesKeys: name === "mail",
        takesReplies: replies.has(name),
        channel: {
          async send(message) {
            sent.push({ ...message, at_s: clock.now_s(), by: name });
            return outcomes.get(name) ?? { is: "delivered" };
          },
          silence: (occurrences) => silenced.push(...occurrences.map((occurrence) => `${name} ${occurrence}`)),
          resume: (to, occurrence, priority) => resumed.push(`${name} ${to} ${occurrence} ${priority}`),
          health: () => ({ problem: problems.get(name) ?? null, note: null }),
          close() {},
        },
      },
    ]),
  );
  const whole: AlarmsConfig = { ...nobodyTold, callAgain: once, ...config };
  const changes: Partial<Record<AlarmName, AlarmChanges>> = whole.changes;
  const service = startAlarmService({
    site: { ...site, name: "Hill House" },
    config: whole,
    definitions: changedTable(changes),
    outbox: openOutbox(path, { now_s: clock.now_s, log: (line) => log.push(line) }),
    channels,
    care: ownCare ?? (() => care),
    now_s: clock.now_s,
    schedule: clock.schedule,
    random: () => 0.5,
    log: (line) => log.push(line),
  });
  return {
    clock,
    sent,
    silenced,
    resumed,
    log,
    service,
    channels,
    answer: (by, outcome) => outcomes.set(by, outcome),
    trouble: (by, problem) => problems.set(by, problem),
    async see(time_s, findings = [], situation = {}, changed = {}) {
      await clock.turnTo(time_s);
      care = { ...allWell, ...changed };
      service.see({ ...calm, time_s, openFindings: findings, ...situation });
      await clock.turnTo(time_s);
    },
    close: () => service.close(),
  };
}

export const owner = {
  name: "owner",
  reach: [{ by: "modem", to: "+1 555 0100" }],
  quiet: null,
  mostAnHour: 6,
} as const;
export const neighbour = {
  name: "neighbour",
  reach: [{ by: "mail", to: "n@example.org" }],
  quiet: null,
  mostAnHour: 6,
} as const;

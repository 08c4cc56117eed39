// Every basin that is enrolled or was heard of, what is known of each, and which have changed since they were last asked
// for. Holds memory for each basin once, and for no more strangers than a bound.

import type { Situation } from "../../analysis/analyzer.ts";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { Finding } from "../../analysis/findings/finding.ts";
import { acknowledgeTopic } from "../publishers/acknowledgement.ts";
import { shelveTopic } from "../publishers/shelving.ts";
import {
  isKnown,
  readAlarms,
  readCycle,
  readFinding,
  readForwarding,
  readState,
  readStatus,
} from "./board-messages.ts";
import type { OverviewRow, Pulse } from "./central-types.ts";
import { clockOff_s, conditionsOf, type JudgedAt, serviceDue_s } from "./conditions.ts";
import type { CentralFile, EnrolledBasin } from "./config/central-file.ts";
import { type Heard, hearFinding, hearOrder, hearState, nothingHeard } from "./heard.ts";
import { putAside, standingAlarms } from "./standing-alarms.ts";

/** One basin. */
export interface Basin {
  readonly name: string;
  /** Null: a board publishes under the name, and the central view's file does not have it. */
  readonly enrolled: EnrolledBasin | null;
  readonly heard: Heard;
}

export interface Message {
  readonly basin: string;
  /** `state`, `finding/high-water`. */
  readonly topic: string;
  readonly payload: Buffer;
  /** The broker had it: when it was said is not known. */
  readonly kept: boolean;
}

/** What one basin's page hears as it happens. */
export interface BasinListener {
  situation(situation: Situation): void;
  cycle(cycle: Cycle): void;
  alarms(): void;
  finding(finding: Situation["openFindings"][number]): void;
}

export interface Basins {
  take(message: Message): void;
  get(name: string): Basin | undefined;
  all(): Iterable<Basin>;
  row(basin: Basin, at: JudgedAt): OverviewRow;
  pulse(basin: Basin): Pulse;
  /** Names of those of which something has come since this was last asked. */
  changed(): ReadonlySet<string>;
  /** @returns stops it */
  listen(name: string, listener: BasinListener): () => void;
  /** What a record says of a basin that has not been heard; nothing that has been heard meanwhile is touched. */
  recall(basin: Basin, reading_s: number, findings: readonly Finding[]): void;
  /** What was left out: messages that were none of a board's or too many in a second, and basins that were one too many. */
  refused(): Refused;
}

export interface Refused {
  readonly messages: number;
  readonly strangers: number;
  /** Topic of the last, below the prefix. */
  readonly last: string | null;
}

/** Names that nobody enrolled: a board of another house, a slip of the pen; not a flood. */
const mostStrangers = 500;
/** Far more than a board says: each takes time, which the others' are waiting for. */
const mostInSecond = 100;
/** What people ask of a board from afar. */
const orderTopics: ReadonlySet<string> = new Set([acknowledgeTopic, shelveTopic]);
const nameForm = /^[a-z0-9-]{1,64}$/;

export function knownBasins(file: CentralFile, now_s: () => number): Basins {
  const basins = new Map<string, Basin>();
  for (const enrolled of file.basins) {
    basins.set(enrolled.name, { name: enrolled.name, enrolled, heard: nothingHeard() });
  }
  const listeners = new Map<string, BasinListener>();
  /** Of the second that runs: how many have come of each. */
  let second_s = 0;
  let inSecond = new Map<string, number>();
  let changed = new Set<string>();
  let strangers = 0;
  let refused: Refused = { messages: 0, strangers: 0, last: null };

  function basinOf(name: string): Basin | null {
    const known = basins.get(name);
    if (known !== undefined) return known;
    if (strangers >= mostStrangers || !nameForm.test(name)) return null;
    strangers++;
    const basin = { name, enrolled: null, heard: nothingHeard() };
    basins.set(name, basin);
    return basin;
  }

  function isTooMany(name: string): boolean {
    const this_s = Math.floor(now_s());
    if (this_s !== second_s) {
      second_s = this_s;
      inSecond = new Map();
    }
    const count = (inSecond.get(name) ?? 0) + 1;
    inSecond.set(name, count);
    return count > mostInSecond;
  }

  /** @returns whether it was something that a board says */
  function takeInto({ name, heard }: Basin, { topic, payload, kept }: Message): boolean {
    const listener = listeners.get(name);
    switch (topic.split("/")[0]) {
      case "status": {
        const status = readStatus(payload);
        if (status !== null) heard.status = status;
        return status !== null;
      }
      case "state": {
        const told = readState(payload);
        if (told === null) return false;
        hearState(heard, told, now_s(), kept);
        listener?.situation(told.situation);
        return true;
      }
      case "cycle": {
        const cycle = readCycle(payload);
        if (cycle !== null && !kept) listener?.cycle(cycle);
        return cycle !== null;
      }
      case "finding": {
        // Of one that was kept it is not known whether it still lasts; the state that was kept knows.
        if (kept) return true;
        const finding = readFinding(payload);
        if (finding === null) return false;
        hearFinding(heard, finding);
        if (isKnown(finding)) listener?.finding(finding);
        return true;
      }
      case "alarms": {
        const told = readAlarms(payload);
        if (told !== null) heard.alarms = told;
        listener?.alarms();
        return told !== null;
      }
      case acknowledgeTopic:
      case shelveTopic: {
        const took = hearOrder(heard, topic, payload);
        listener?.alarms();
        return took;
      }
      case "health": {
        const told = readForwarding(payload);
        if (told !== undefined) heard.forward = told;
        return told !== undefined;
      }
      default:
        return true;
    }
  }

  return {
    take(message) {
      const isOrder = orderTopics.has(message.topic.split("/", 1)[0] ?? "");
      // An empty message takes a kept one back; an answer that is taken back has reached its board.
      if (message.payload.length === 0 && !isOrder) return;
      if (isOrder && !basins.has(message.basin)) return;
      if (!basins.has(message.basin) && !isOfOneThere(message)) return;
      const last = `${message.basin}/${message.topic}`;
      const basin = basinOf(message.basin);
      if (basin === null) refused = { ...refused, strangers: refused.strangers + 1, last };
      else if (!isTooMany(basin.name) && takeInto(basin, message)) changed.add(basin.name);
      else refused = { ...refused, messages: refused.messages + 1, last };
    },
    get: (name) => basins.get(name),
    all: () => basins.values(),
    row: ({ name, enrolled, heard }, at) => ({
      name,
      title: enrolled?.title ?? name,
      group: enrolled?.group ?? null,
      place: enrolled?.place ?? null,
      customer: enrolled?.customer == null ? null : (file.customers.get(enrolled.customer) ?? enrolled.customer),
      contact: enrolled?.contact ?? null,
      serviceDue_s: serviceDue_s(heard, enrolled, at.timezone),
      enrolled: enrolled !== null,
      invented: heard.invented,
      conditions: conditionsOf(heard, enrolled, enrolled?.silentAfter_s ?? file.view.silentAfter_s, at),
      alarms: standingAlarms(heard),
      aside: putAside(heard, at.now_s),
      takesAnswers: heard.alarms?.acknowledge === true,
      connected: heard.status === null ? null : heard.status === "online",
      clockOff_s: clockOff_s(heard),
    }),
    pulse: ({ name, heard: { situation } }) => [
      name,
      situation?.level_m == null ? null : Math.round(situation.level_m * 1000) / 1000,
      situation?.pumpRunning ?? null,
    ],
    changed() {
      const since = changed;
      changed = new Set();
      return since;
    },
    listen(name, listener) {
      listeners.set(name, listener);
      return () => {
        if (listeners.get(name) === listener) listeners.delete(name);
      };
    },
    recall({ name, heard }, reading_s, findings) {
      if (heard.situation !== null) return;
      heard.reading_s = Math.min(now_s(), reading_s);
      heard.findings = findings;
      changed.add(name);
    },
    refused: () => refused,
  };
}

/** Of a board that was removed the broker keeps what it said last, `online` too: only one that speaks is worth a line. */
function isOfOneThere({ topic, payload, kept }: Message): boolean {
  return !kept && (topic !== "status" || readStatus(payload) === "online");
}

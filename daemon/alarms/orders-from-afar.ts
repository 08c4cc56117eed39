// What people ask of the alarms from afar, by the broker, perhaps while the board was away: an answer is to one occurrence,
// a shelf ends when it was meant to end.

import type { AlarmDefinition } from "../../analysis/alarms/alarm.ts";
import { longestShelf_s } from "../../analysis/alarms/alarm-book.ts";
import type { Acknowledgement } from "../publishers/acknowledgement.ts";
import type { Shelving } from "../publishers/shelving.ts";
import type { AlarmService } from "./alarm-service.ts";

export interface OrdersFromAfar {
  /** One to what is over, or to a later alarm, is nobody's. */
  answer(acknowledgement: Acknowledgement): void;
  /** Shelves, or takes off the shelf; for no longer than the alarm's priority allows. */
  shelve(shelving: Shelving): void;
}

/** By the time that it is on the shelf, one of less is off it again. */
const shortest_s = 1;

export function ordersFromAfar(
  service: Pick<AlarmService, "alarms" | "acknowledge" | "shelve" | "unshelve">,
  definitions: readonly AlarmDefinition[],
  now_s: () => number,
  log: (line: string) => void,
): OrdersFromAfar {
  return {
    answer({ alarm, from_s, by }) {
      const isIt = service.alarms().some((each) => each.name === alarm && each.from_s === from_s);
      if (!isIt || !service.acknowledge(alarm, by, "afar")) log(`alarms: an answer by ${by} to ${alarm} came too late`);
    },
    shelve({ alarm, until_s, by, reason }) {
      if (until_s === null) {
        service.unshelve(alarm, by, "afar");
        return;
      }
      const time_s = now_s();
      const definition = definitions.find(({ name }) => name === alarm);
      if (definition === undefined || until_s - time_s < shortest_s) {
        log(`alarms: ${by} would have ${alarm} shelved until a time that is over: it stands as it stood`);
        return;
      }
      const longest_s = longestShelf_s[definition.priority];
      service.shelve(alarm, Math.min(until_s, time_s + longest_s), by, reason, "afar");
    },
  };
}

// What keeps alarms from reaching people, for the page's first view: said where everybody looks, not only under Alarms.

import type { AlarmTrouble } from "../server/alarms-types.ts";
import type { AlarmsViewParts } from "./alarms-view.ts";

const looksBack_s = 86_400;
/** A first attempt fails now and then; what fails for longer is worth a line. */
const patience_s = 60;

export function alarmTrouble({ service, config, channels, heartbeat, now_s }: AlarmsViewParts): AlarmTrouble {
  const { outbox } = service;
  const time_s = now_s();
  const problemOf = (name: string, to?: string) => channels.get(name)?.channel.health(to).problem ?? null;
  const worksNot = (name: string, to: string) => !channels.has(name) || problemOf(name, to) !== null;
  return {
    unreached: config.contacts
      .filter(({ reach }) => reach.every(({ by, to }) => worksNot(by, to)))
      .map(({ name }) => name),
    channels: [...channels.keys()].flatMap((name) => {
      const problem = problemOf(name);
      return problem === null ? [] : [{ name, problem }];
    }),
    undelivered: outbox.undelivered(time_s - looksBack_s, time_s - patience_s),
    cardProblem: outbox.problem(),
    heartbeatProblem: heartbeat?.()?.problem ?? null,
  };
}

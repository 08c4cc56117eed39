// What a person at the page may see and do about alarms, as the server asks for it.

import { isActive } from "../../analysis/alarms/alarm-state.ts";
import type { AlarmDesk } from "../server/server-parts.ts";
import type { AlarmService } from "./alarm-service.ts";
import { type AlarmsViewParts, alarmsAnswer } from "./alarms-view.ts";

export function alarmDesk(view: AlarmsViewParts, service: AlarmService): AlarmDesk {
  return {
    view: () => alarmsAnswer(view),
    acknowledge: service.acknowledge,
    reset: service.reset,
    shelve: (name, for_s, by) => service.shelve(name, view.now_s() + for_s, by),
    unshelve: service.unshelve,
    setInService: service.setInService,
    test: service.test,
    byToken(token) {
      const record = service.occurrenceOf(token);
      const definition = view.definitions.find(({ name }) => name === record?.name);
      if (record === null || definition === undefined) return null;
      const { name, title, whatToDo } = definition;
      return {
        name,
        title,
        whatToDo,
        isOver: !isActive(record.state),
        acknowledgedBy: record.acknowledged?.by ?? null,
      };
    },
  };
}

// What a person at the page may see and do about alarms, as the server asks for it.

import { isActive } from "../../analysis/alarms/alarm-state.ts";
import type { AlarmDesk } from "../server/server-parts.ts";
import type { AlarmService } from "./alarm-service.ts";
import { type AlarmsViewParts, alarmsAnswer } from "./alarms-view.ts";
import { phoneDesk } from "./phone-desk.ts";

export function alarmDesk(view: AlarmsViewParts, service: AlarmService): AlarmDesk {
  return {
    view: () => alarmsAnswer(view),
    acknowledge: service.acknowledge,
    reset: service.reset,
    shelve: (name, for_s, by, reason) => service.shelve(name, view.now_s() + for_s, by, reason),
    unshelve: service.unshelve,
    setInService: service.setInService,
    enterService: view.services.enter,
    takeBackService: view.services.takeBack,
    test: service.test,
    phones: phoneDesk(view.config, view.channels, service.test),
    byToken(token) {
      const told = service.toldByLink(token);
      if (told === null) return null;
      const alarms = told.alarms.flatMap(({ name, state, acknowledged }) => {
        const definition = view.definitions.find((each) => each.name === name);
        if (definition === undefined) return [];
        const { title, whatToDo } = definition;
        return [{ name, title, whatToDo, isOver: !isActive(state), acknowledgedBy: acknowledged?.by ?? null }];
      });
      return { contact: told.contact, alarms };
    },
  };
}

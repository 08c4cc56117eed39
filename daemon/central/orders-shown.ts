// What people asked of a board's alarms from afar, as it is shown while the board has not said that it did it: answered
// counts as answered, shelved as shelved; and what a board does not take, with the reason. Pure.

import type { ActiveAlarm, AlarmAside } from "../server/alarms-types.ts";
import { boardTime_s, type TimeTold } from "./conditions.ts";
import type { Heard } from "./heard.ts";

type Told = Pick<Heard, "alarms" | "answers" | "shelvings" | "status"> & TimeTold;

/** Null: the board has said nothing of its alarms. */
export function alarmsShown(heard: Told): readonly ActiveAlarm[] | null {
  const { alarms } = heard;
  if (alarms === null) return null;
  return alarms.alarms.map((alarm) => {
    const answer = answerTo(alarm, heard);
    if (alarm.state !== "unacknowledged" || answer === null) return alarm;
    return { ...alarm, state: "acknowledged", acknowledgedBy: `${answer} (${notSaidYet(heard)})` };
  });
}

/** Who has answered it from afar, where its board takes answers; null: nobody. */
export function answerTo(
  { name, from_s }: Pick<ActiveAlarm, "name" | "from_s">,
  { alarms, answers }: Pick<Told, "alarms" | "answers">,
): string | null {
  const answer = answers.get(name);
  return alarms?.acknowledge === true && answer?.from_s === from_s ? answer.by : null;
}

/** Times are the board's. */
export function asideShown(heard: Told, centralNow_s: number): readonly AlarmAside[] {
  const { alarms, shelvings } = heard;
  const now_s = boardTime_s(centralNow_s, heard);
  if (alarms === null) return [];
  if (!alarms.shelve) return alarms.aside;
  // What the board keeps silent stays in sight until the board says otherwise, whatever was asked of it.
  const left = alarms.aside.flatMap((each): AlarmAside[] => {
    const order = each.until_s === null ? undefined : shelvings.get(each.name);
    if (order === undefined || (order.until_s !== null && order.until_s <= now_s)) return [each];
    if (order.until_s !== null) return []; // stands below, as it was asked for
    return [{ ...each, by: `${each.by ?? "somebody"}; ${order.by} asked to end it (${notSaidYet(heard)})` }];
  });
  const asked = [...shelvings.values()].flatMap(({ alarm, until_s, by, reason }): AlarmAside[] => {
    if (until_s === null || until_s <= now_s) return [];
    const title = titleOf(alarm, alarms);
    return [{ name: alarm, title, until_s, since_s: null, by: `${by} (${notSaidYet(heard)})`, reason }];
  });
  return [...left, ...asked];
}

/** What a board does not do that was asked of it, one sentence each. */
export function notTaken(heard: Told, centralNow_s: number): readonly string[] {
  const { alarms, answers, shelvings } = heard;
  const now_s = boardTime_s(centralNow_s, heard);
  if (alarms === null) return [];
  const lasting = [...answers.values()].filter(({ alarm, from_s }) =>
    alarms.alarms.some((each) => each.name === alarm && each.from_s === from_s && each.state === "unacknowledged"),
  );
  const refused = (what: string, by: string, name: string, key: string) =>
    `${what} by ${by}, ${titleOf(name, alarms)}: not done, for the board takes none from here; publish.mqtt.${key} in its site file lets it.`;
  return [
    ...(alarms.acknowledge ? [] : lasting.map(({ alarm, by }) => refused("Answer", by, alarm, "acknowledge"))),
    ...(alarms.shelve
      ? []
      : [...shelvings.values()]
          .filter(({ until_s }) => until_s === null || until_s > now_s)
          .map(({ alarm, until_s, by }) => refused(until_s === null ? "Unshelving" : "Shelving", by, alarm, "shelve"))),
  ];
}

function notSaidYet({ status }: Pick<Told, "status">): string {
  return status === "offline"
    ? "the board is away, and hears of it when it is back"
    : "the board has not confirmed yet";
}

function titleOf(name: string, { alarms, aside }: NonNullable<Told["alarms"]>): string {
  return [...alarms, ...aside].find((each) => each.name === name)?.title ?? name;
}

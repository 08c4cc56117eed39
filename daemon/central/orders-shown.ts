// What people asked of a board's alarms from afar, as it is shown while the board has not said that it did it: answered
// counts as answered, shelved as shelved; and what a board does not take, with the reason. Pure.

import type { ActiveAlarm, AlarmAside } from "../server/alarms-types.ts";
import type { Heard } from "./heard.ts";

type Told = Pick<Heard, "alarms" | "answers" | "shelvings" | "status">;

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

export function asideShown(heard: Told, now_s: number): readonly AlarmAside[] {
  const { alarms, shelvings } = heard;
  if (alarms === null) return [];
  if (!alarms.shelve) return alarms.aside;
  const left = alarms.aside.filter(({ name, until_s }) => until_s === null || !shelvings.has(name));
  const asked = [...shelvings.values()].flatMap(({ alarm, until_s, by, reason }): AlarmAside[] => {
    if (until_s === null || until_s <= now_s) return [];
    const title = titleOf(alarm, alarms);
    return [{ name: alarm, title, until_s, since_s: null, by: `${by} (${notSaidYet(heard)})`, reason }];
  });
  return [...left, ...asked];
}

/** What a board does not do that was asked of it, one sentence each. */
export function notTaken({ alarms, answers, shelvings }: Told): readonly string[] {
  if (alarms === null) return [];
  const lasting = [...answers.values()].filter(({ alarm, from_s }) =>
    alarms.alarms.some((each) => each.name === alarm && each.from_s === from_s && each.state === "unacknowledged"),
  );
  const refused = (what: string, by: string, name: string, key: string) =>
    `${what} by ${by}, ${titleOf(name, alarms)}: not done, for the board takes none from here; publish.mqtt.${key} in its site file lets it.`;
  return [
    ...(alarms.acknowledge ? [] : lasting.map(({ alarm, by }) => refused("Answer", by, alarm, "acknowledge"))),
    ...(alarms.shelve ? [] : [...shelvings.values()].map(({ alarm, by }) => refused("Shelving", by, alarm, "shelve"))),
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

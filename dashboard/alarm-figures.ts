// The figures of alarm management as the page shows them. Pure.

import { marks } from "../analysis/alarms/performance.ts";
import type { AlarmsAnswer } from "../daemon/server/alarms-types.ts";
import { sentenceCase } from "./alarm-words.ts";

/** The figures of alarm management, each with the mark that it is held to; performance.md has a section for each. */
export function performanceLines({ performance, alarms }: AlarmsAnswer) {
  const short = (value: number) => String(Number(value.toPrecision(2)));
  const share = (part: number) => `${short(part * 100)} %`;
  const { count, perDay, per10min, mostFrequent, chattering, mostStale, split } = performance;
  const [first] = mostFrequent;
  const titleOf = (name: string) => sentenceCase(alarms.find((alarm) => alarm.name === name)?.title ?? name);
  return [
    {
      label: "Announced",
      value: `${count}, ${short(perDay)} a day`,
      mark: `up to ${marks.perDay.acceptable} a day`,
    },
    {
      label: "In ten minutes, on average",
      value: per10min > 0 && per10min < 0.01 ? "under 0.01" : short(per10min),
      mark: `about ${marks.per10min.acceptable}`,
    },
    { label: "Most in ten minutes", value: String(performance.mostIn10min), mark: `at most ${marks.mostIn10min}` },
    {
      label: "Ten minutes with more than ten",
      value: share(performance.shareOver10),
      mark: `under ${share(marks.shareOver10)} of all`,
    },
    {
      label: "Time in a flood",
      value: share(performance.shareInFlood),
      mark: `under ${share(marks.shareInFlood)}`,
    },
    {
      label: "Most frequent",
      value: first === undefined ? "none" : `${titleOf(first.alarm)}, ${share(first.share)}`,
      mark: "ten together 1 to 5 % in a plant; a house has few alarms in all",
    },
    { label: "Chattering", value: chattering.length === 0 ? "none" : chattering.map(titleOf).join(", "), mark: "none" },
    { label: "Stale", value: String(mostStale), mark: `fewer than ${marks.stale} on any day` },
    {
      label: "High, medium, low",
      value: count === 0 ? "none" : `${share(split.high)}, ${share(split.medium)}, ${share(split.low)}`,
      mark: `about ${Object.values(marks.split)
        .map((part) => short(part * 100))
        .join(", ")} %`,
    },
  ];
}

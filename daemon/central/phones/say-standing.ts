// What a phone is sent of basins that call for somebody: one of them in full, several in one notice that names the first.
// Pure.

import { findingTitle } from "../../../analysis/findings/finding-titles.ts";
import { subjects, type Treatment, topicOf, treatment } from "../../push/push-note.ts";
import type { PushNote } from "../../server/phones-types.ts";
import type { Standing } from "./what-stands.ts";

export interface Told {
  readonly note: Omit<PushNote, "phone">;
  readonly treatment: Treatment;
}

/** Of a basin, what a notice may name. */
export interface NamedBasin {
  readonly title: string;
  readonly place: string | null;
  readonly contact: string | null;
}

const mostNamed = 3;

/**
 * @param due   what began, most urgent first
 * @param over  what has ended; one of the two is not empty
 * @param about a basin by its name
 */
export function sayStanding(
  due: readonly Standing[],
  over: readonly Standing[],
  about: (basin: string) => NamedBasin,
): Told {
  const [first, ...more] = [...due, ...over] as [Standing, ...Standing[]];
  const isOver = due.length === 0;
  const { title, place, contact } = about(first.basin);
  const what = titleOf(first);
  const heading = `${title}: ${isOver ? `over: ${what.toLowerCase()}` : what}`;
  const alone = isOver
    ? ["Nothing calls for somebody there by this any more."]
    : [first.condition.advice ?? silentAdvice, place, contact].filter((line) => line !== null);
  const isUrgent = due.some(({ condition }) => condition.tier === "now");
  const named = (all: readonly Standing[]) => all.map(({ basin, condition }) => `${basin}/${condition.kind}`);
  // Several that are told together: what is said of one of them later must not take the others off the screen.
  const subject = named([first, ...more])
    .toSorted()
    .join(" ");
  return {
    note: {
      key: `${isOver ? "over" : "on"}-${topicOf(`${subject} ${first.seen_s} ${more.length}`).slice(0, 24)}`,
      tag: topicOf(subject),
      title: more.length === 0 ? heading : `${heading}, and ${more.length} more`,
      text: more.length === 0 ? alone.join("\n") : inShort(due, over, about),
      url: more.length === 0 ? `basins/${encodeURIComponent(first.basin)}/` : "./",
      canAnswer: false,
      stays: isUrgent,
      ...subjects(named(due), named(over)),
    },
    treatment: treatment(subject, isUrgent ? "high" : "medium", isOver ? "over" : "alarm"),
  };
}

export function sayTest(view: string, now_s: number): Told {
  const key = `test-${Math.round(now_s)}`;
  return {
    note: {
      ...{ key, tag: topicOf(key), title: `${view}: test`, url: "./", canAnswer: false, stays: false },
      ...subjects([], []),
      text: "Nothing is wrong. If you can read this, it works.",
    },
    treatment: treatment(key, "medium", "test"),
  };
}

function inShort(due: readonly Standing[], over: readonly Standing[], about: (basin: string) => NamedBasin): string {
  const lines = due.slice(0, mostNamed).map((each) => `${about(each.basin).title}: ${titleOf(each)}`);
  if (due.length > mostNamed) lines.push(`and ${due.length - mostNamed} more`);
  const ended = over.slice(0, mostNamed).map((each) => `${about(each.basin).title}: ${titleOf(each).toLowerCase()}`);
  if (ended.length > 0)
    lines.push(`Over: ${ended.join("; ")}${over.length > mostNamed ? ` and ${over.length - mostNamed} more` : ""}`);
  return lines.join("\n");
}

const silentAdvice =
  "Nothing is known of it: see whether the board has power and network, and look at the basin itself.";

function titleOf({ condition: { kind } }: Standing): string {
  if (kind === "silent") return "Silent";
  const known = Object.hasOwn(findingTitle, kind) ? findingTitle[kind as keyof typeof findingTitle] : null;
  // Of a newer board's kind the name is all that is known.
  return known ?? kind.replaceAll("-", " ").replace(/^./, (letter) => letter.toUpperCase());
}

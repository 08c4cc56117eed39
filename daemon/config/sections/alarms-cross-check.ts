// What in the `alarms` group of the site file must go together: channels, the contacts reached by them, the steps in which
// these are called, and what differs from the table of alarms.

import type * as z from "zod";
import { alarmTable } from "../../../analysis/alarms/alarm-table.ts";
import type { ChannelKind } from "../../alarms/channels/channel.ts";
import { closest } from "../closest.ts";
import { at, has, lengthAt, numberAt, report } from "../cross-check.ts";
import { durationInWords } from "../duration-in-words.ts";

type Context = z.core.$RefinementCtx;

/** Of a kind that keeps something once, a second would write over what the first has kept. */
export function checkOnlyOne(kinds: readonly ChannelKind[], alarms: unknown, context: Context): void {
  const seen = new Set<unknown>();
  for (let c = 0; c < lengthAt(alarms, "channels"); c++) {
    const kind = at(alarms, "channels", c, "kind");
    if (seen.has(kind) && kinds.some((each) => each.kind === kind && each.onlyOne === true))
      report(context, ["channels", c, "kind"], `expected one ${kind} at most, found another`);
    seen.add(kind);
  }
}

/** Each contact by a channel that is there, at an address that is one there. */
export function checkReach(kinds: readonly ChannelKind[], alarms: unknown, context: Context): void {
  const channels = allNamesAt(alarms, "channels");
  for (let c = 0; c < lengthAt(alarms, "contacts"); c++) {
    for (let r = 0; r < lengthAt(alarms, "contacts", c, "reach"); r++) {
      const path = ["contacts", c, "reach", r];
      const by = at(alarms, ...path, "by");
      const to = at(alarms, ...path, "to");
      if (typeof by !== "string") continue;
      const index = channels.indexOf(by);
      // One whose own fault is said may be the one that is meant.
      if (index === -1 && channels.every(isKnown))
        report(context, [...path, "by"], unknownName("channel", by, channels));
      const kind = kinds.find((each) => each.kind === at(alarms, "channels", index, "kind"));
      const problem = typeof to === "string" ? (kind?.addressProblem(to) ?? null) : null;
      if (problem !== null) report(context, [...path, "to"], problem);
    }
  }
}

/** An escalation must end at a person. */
export function checkCall(alarms: unknown, context: Context): void {
  const all = allNamesAt(alarms, "contacts");
  const contacts = all.filter(isKnown);
  const steps = lengthAt(alarms, "call");
  if (steps > 0 && all.length === 0) {
    report(context, ["call"], "expected contacts to call, found none under contacts");
    return;
  }
  const called = new Set<unknown>();
  for (let s = 0; s < steps; s++) {
    for (let c = 0; c < lengthAt(alarms, "call", s, "contacts"); c++) {
      const name = at(alarms, "call", s, "contacts", c);
      if (typeof name !== "string") continue;
      called.add(name);
      if (all.every(isKnown) && !contacts.includes(name))
        report(context, ["call", s, "contacts", c], unknownName("contact", name, contacts));
    }
    const before_s = numberAt(alarms, "call", s - 1, "after");
    const after_s = numberAt(alarms, "call", s, "after");
    if (before_s !== null && after_s !== null && after_s < before_s) {
      const expected = `expected no less than ${durationInWords(before_s)}, the step before`;
      report(context, ["call", s, "after"], `${expected}, found ${durationInWords(after_s)}`);
    }
  }
  if (steps === 0) return;
  const left = contacts.filter((name) => !called.has(name));
  if (left.length > 0) report(context, ["call"], `expected every contact in a step, found ${left.join(", ")} in none`);
}

/** Whoever is told after the time to act is told in vain. */
export function checkChanges(alarms: unknown, context: Context): void {
  for (const { name, respondWithin_s } of alarmTable) {
    const delay_s = numberAt(alarms, "change", name, "on_delay");
    if (delay_s === null || delay_s <= respondWithin_s) continue;
    const expected = `expected at most ${durationInWords(respondWithin_s)}, the time in which something can be done`;
    report(context, ["change", name, "on_delay"], `${expected}, found ${durationInWords(delay_s)}`);
  }
  const priority = at(alarms, "change", "high-water", "priority");
  if (priority === "medium" || priority === "low") {
    report(
      context,
      ["change", "high-water", "priority"],
      `expected high: quiet hours would hold it back until the floor is wet; found ${priority}`,
    );
  }
  if (at(alarms, "change", "high-water", "tell") === false && has(alarms, "contacts")) {
    report(
      context,
      ["change", "high-water", "tell"],
      "expected true: high water is what everything else leads to; found false",
    );
  }
}

/** In their order; null where an entry is wrong. */
function allNamesAt(group: unknown, list: string): (string | null)[] {
  return Array.from({ length: lengthAt(group, list) }, (_, index) => {
    const name = at(group, list, index, "name");
    return typeof name === "string" ? name : null;
  });
}

function isKnown(name: string | null): name is string {
  return name !== null;
}

function unknownName(called: string, found: string, known: readonly string[]): string {
  if (known.length === 0) return `expected the name of a ${called}, found "${found}" and no ${called} at all`;
  const near = closest(found, known);
  return `expected the name of a ${called} (${known.join(", ")}), found "${found}"${near === undefined ? "" : `; did you mean ${near}?`}`;
}

// Sends tests and waits until it is known what became of each.

import { setTimeout as pause } from "node:timers/promises";
import type { AlarmsAnswer } from "../../server/alarms-types.ts";
import { askAlarms, type WhichDaemon } from "./ask-alarms.ts";

type Message = AlarmsAnswer["messages"][number];

/** So long is waited for the slowest of them: a modem that has to find its network. */
const patience_ms = 120_000;
const look_ms = 300;

export async function testAlarms(which: WhichDaemon, contact: string | null, by: string | null): Promise<void> {
  const alarms = await askAlarms(which, ({ alarms: { contacts } }) =>
    contacts.length > 0 ? null : `${which.site}: alarms.contacts: expected somebody to tell, found nobody`,
  );
  if (alarms === null) return;
  try {
    const names = contact === null ? alarms.siteFile.alarms.contacts.map(({ name }) => name) : [contact];
    const before = new Set((await alarms.view()).messages.map(({ id }) => id));
    for (const name of names) await alarms.test(name, by);
    const sent = await untilSettled(alarms.view, before);
    for (const message of sent) console.log(inWords(message));
    if (sent.some(({ state }) => state !== "sent")) process.exitCode = 2;
  } catch (error) {
    console.error(error instanceof Error ? error.message : String(error));
    process.exitCode = 2;
  } finally {
    await alarms.close();
  }
}

async function untilSettled(view: () => Promise<AlarmsAnswer>, before: ReadonlySet<number>): Promise<Message[]> {
  for (let waited_ms = 0; ; waited_ms += look_ms) {
    const sent = (await view()).messages.filter(({ id, kind }) => kind === "test" && !before.has(id)).reverse();
    const open = sent.some(({ state }) => state === "waiting" || state === "sending");
    if (!open || waited_ms >= patience_ms) return sent;
    await pause(look_ms);
  }
}

function inWords({ contact, state, sentBy, onlyBy, delivered_s, reason }: Message): string {
  const to = `${contact} by ${sentBy ?? onlyBy}`;
  if (state === "sent") return `${to}: ${delivered_s === null ? "handed over" : "delivered"}`;
  if (state === "waiting" || state === "sending") return `${to}: no answer yet; see undercroft alarms list`;
  return `${to}: not sent: ${reason ?? state}`;
}

// How the alarms stand, as lines of text.

import { iso } from "../../../analysis/report/summarize.ts";
import { askAlarms, type WhichDaemon } from "./ask-alarms.ts";

const messagesShown = 20;
const deedsShown = 8;

export async function listAlarms(which: WhichDaemon): Promise<void> {
  const alarms = await askAlarms(which);
  if (alarms === null) return;
  try {
    const { alarms: all, contacts, messages, done, performance } = await alarms.view();
    if (!alarms.running) console.log("No daemon runs: nobody watches, this is how things stood.\n");
    console.log("Alarms");
    for (const { name, priority, state, from_s, acknowledged } of all) {
      const since = state === "normal" || from_s === null ? "" : ` since ${iso(from_s)}`;
      const by = acknowledged === null ? "" : `, ${acknowledged.by} is seeing to it`;
      console.log(`  ${name.padEnd(24)} ${priority.padEnd(7)} ${state}${since}${state === "acknowledged" ? by : ""}`);
    }
    console.log("\nContacts");
    if (contacts.length === 0) console.log("  none: nobody is told");
    for (const { name, ways } of contacts) {
      for (const { by, to, proven_s, failed, problem } of ways) {
        const failure =
          failed === null ? "" : `; the test of ${iso(failed.at_s)} failed: ${failed.reason ?? "no answer"}`;
        const proven = `${proven_s === null ? "never proven" : `last proven ${iso(proven_s)}`}${failure}`;
        console.log(`  ${name} by ${by} to ${to}: ${proven}${problem === null ? "" : `; ${problem}`}`);
      }
    }
    console.log("\nMessages");
    if (messages.length === 0) console.log("  none yet");
    for (const { id, kind, alarm, contact, state, sent_s, reason } of messages.slice(0, messagesShown)) {
      const when = sent_s === null ? "" : ` ${iso(sent_s)}`;
      console.log(
        `  ${id} ${alarm ?? ""} ${kind} to ${contact}: ${state}${when}${reason === null ? "" : ` (${reason})`}`,
      );
    }
    if (done.length > 0) console.log("\nWho did what");
    for (const { at_s, kind, alarm, contact, by, via, until_s, reason } of done.slice(0, deedsShown)) {
      const what = kind === "tested" ? `test to ${contact}` : `${alarm} ${kind}`;
      const until = until_s === null ? "" : ` until ${iso(until_s)}`;
      const who = by === null ? "" : ` by ${by}`;
      console.log(
        `  ${iso(at_s)} ${what}${until}${who}${via === null ? "" : ` (${via})`}${reason === null ? "" : `: ${reason}`}`,
      );
    }
    console.log(`\nIn 30 days ${performance.count} announced, at most ${performance.mostIn10min} in ten minutes`);
  } finally {
    await alarms.close();
  }
}

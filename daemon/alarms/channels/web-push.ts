// To the phones that have this page: through the push service that each phone's browser chose. Which phones belong to whom
// is said on the page, not in the site file; they are kept beside the record.

import * as z from "zod";
import { readNamedFile } from "../../config/named-file.ts";
import { openPhoneBook, type Phone } from "../../push/phone-book.ts";
import { called, phoneSender } from "../../push/phone-sender.ts";
import { subjects, topicOf, treatment } from "../../push/push-note.ts";
import type { PushNote } from "../../server/phones-types.ts";
import { isOfAlarm } from "../outbox/message-row.ts";
import { type ChannelContext, defineChannel, type OpenChannel, type Outcome, type OutgoingMessage } from "./channel.ts";

const config = z.lazy(() =>
  z.strictObject({
    kind: z
      .literal("web-push")
      .describe("a notice on the phones that have this page, by their browsers' push services"),
    name: z.string().min(1).describe("what contacts and the page call it"),
    email: z
      .string()
      .regex(/^[^\s@<>"]+@[^\s@<>"]+\.[^\s@<>".]+$/, {
        error: ({ input }) => `expected an e-mail address, found ${JSON.stringify(input)}`,
      })
      .describe("yours: goes to the push services with each message, so that they can write to you (RFC 8292)"),
    ca: z.string().min(1).optional().describe("file with the authority's certificate (PEM), where it is a private one"),
  }),
);

const longestName = 60;

export const webPush = defineChannel({
  kind: "web-push",
  config,
  // A notice replaces the one before it of the same alarms.
  comparesKeys: true,
  takesReplies: false,
  onlyOne: true,
  addressProblem(to) {
    if (to.trim() === to && to.length <= longestName && /[\p{L}\d]/u.test(to)) return null;
    return `expected a name of up to ${longestName} characters under which phones are taken up, such as Ann, found ${JSON.stringify(to)}`;
  },
  open: (config, context) => openWebPush(config, context),
});

function openWebPush({ email, ca }: z.output<typeof config>, context: ChannelContext): OpenChannel {
  const { now_s, log } = context;
  const book = openPhoneBook(context.beside("phones.json"), now_s, log);
  const authority = ca === undefined ? null : readNamedFile("ca", ca, context.baseFolder);
  const sender = phoneSender({ book, email, ca: authority, now_s, log });

  async function send(message: OutgoingMessage, signal: AbortSignal): Promise<Outcome> {
    if (signal.aborted) return { is: "failed", reason: "given up before it was sent", again: true };
    const mine = book.phones().filter(({ to, ended }) => to === message.to && ended === null);
    if (mine.length === 0) return { is: "failed", reason: nobody(message.to, book.phones()), again: true };
    const { about, kind, ...of } = subjectOf(message);
    const note = { ...noteOf(message, about, kind), ...of };
    const how = treatment(about, message.priority, kind);
    const outcomes = await Promise.all(mine.map((phone) => sender.send(phone, note, how, signal)));
    // Whoever has been reached by one phone has been told; the page says which others were not.
    if (outcomes.some(({ is }) => is === "taken")) return { is: "handed-over" };
    return {
      is: "failed",
      reason: outcomes.map((outcome) => ("reason" in outcome ? outcome.reason : "")).join("; "),
      again: outcomes.some((outcome) => outcome.is === "gone" || (outcome.is === "failed" && outcome.again)),
      mayHaveLeft: outcomes.some((outcome) => outcome.is === "failed" && outcome.mayHaveLeft),
    };
  }

  return {
    send,
    health(only) {
      const phones = book.phones();
      const people = only === undefined ? [...new Set(context.addresses)] : [only];
      const live = phones.filter(({ to, ended }) => ended === null && people.includes(to));
      const missing = people.filter((address) => !live.some(({ to }) => to === address));
      const unreached = live.flatMap((phone) => {
        const problem = sender.problemOf(phone.id);
        return problem === null ? [] : [`${called(phone)}: ${problem}`];
      });
      const found = [...missing.map((to) => nobody(to, phones)), ...unreached];
      return {
        problem: found.length === 0 ? null : found.join("; "),
        note: live.length === 1 ? "one phone" : `${live.length} phones`,
      };
    },
    phones: {
      publicKey: book.keys.publicKey,
      all: book.phones,
      problemOf: sender.problemOf,
      add(phone, subscription, replaces) {
        const added = book.add(phone, subscription, replaces);
        log(`${called(added)} is told from now on`);
        return added;
      },
      remove(id) {
        const phone = book.phones().find((each) => each.id === id);
        if (phone !== undefined) log(`${called(phone)} was taken off the list`);
        return book.remove(id);
      },
      shown(id, key) {
        const known = sender.shown(id, key);
        if (known) context.onReceipt(key, true, null);
        return known;
      },
    },
    close() {},
  };
}

function nobody(to: string, phones: readonly Phone[]): string {
  const last = phones.findLast((phone) => phone.to === to && phone.ended !== null);
  const why = last?.ended ? ` (${last.name}: ${last.ended.reason})` : "";
  return `no phone of ${to} is told${why}: open the page on it and press "Tell this phone" under Alarms`;
}

/**
 * What a message is of: what is said of one occurrence replaces what was said of it before. Of several that came together
 * the message is of all: what is said of one of them later must not take the others off the screen.
 */
function subjectOf({ key, data }: OutgoingMessage): Subject {
  const alarms = Array.isArray(data.alarms) ? (data.alarms as { occurrence?: unknown; kind?: unknown }[]) : [];
  const [first] = alarms;
  if (first === undefined || !isOfAlarm(first.kind)) return { about: key, kind: "test", ...subjects([], []) };
  const isOver = alarms.every(({ kind }) => kind === "over");
  const named = (all: typeof alarms) => [...new Set(all.map(({ occurrence }) => String(occurrence ?? key)))];
  const over = named(alarms.filter(({ kind }) => kind === "over"));
  return {
    ...{ about: named(alarms).toSorted().join(" "), kind: isOver ? "over" : "alarm" },
    ...subjects(named(alarms), over),
  };
}

interface Subject extends Pick<PushNote, "lasts" | "over"> {
  readonly about: string;
  readonly kind: "alarm" | "over" | "test";
}

function noteOf(
  { key, subject, text, link, priority }: OutgoingMessage,
  about: string,
  kind: "alarm" | "over" | "test",
): Omit<PushNote, "phone" | "lasts" | "over"> {
  return {
    ...{ key, tag: topicOf(about), title: subject, text: withoutTitle(text, subject), url: link },
    canAnswer: kind === "alarm" && link !== null,
    stays: kind === "alarm" && priority === "high",
  };
}

/** A short text begins with what the title says already. */
function withoutTitle(text: string, title: string): string {
  const rest = text.startsWith(`${title}.`) ? text.slice(title.length + 1).trim() : text;
  return rest === "" ? text : rest;
}

// The contract of a channel: something that carries a short message to a person, and says truthfully what became of it.
// When, to whom and how often is the outbox' business; a channel sends what it is given, once each time it is asked.

import type * as z from "zod";
import type { Priority } from "../../../analysis/alarms/alarm.ts";
import type { Phone, Subscription } from "../../push/phone-book.ts";

export interface OutgoingMessage {
  /**
   * The same for each attempt at the same message, so that a receiver that can compares it and shows it once: letters,
   * digits and dashes, at most 64.
   */
  readonly key: string;
  /** Address of the contact, as `addressProblem` let it pass. */
  readonly to: string;
  readonly priority: Priority;
  /** One line: what is the matter, and where. */
  readonly subject: string;
  /** The whole message in at most 160 characters of the GSM alphabet, where its site's name allows that. */
  readonly text: string;
  /** The same with all that is known, over several lines, for channels with room. */
  readonly body: string;
  /** Page that acknowledges it; null where no address of the page is given. */
  readonly link: string | null;
  /** It may have been sent before, and nobody can tell: a channel whose receivers cannot compare keys marks it. */
  readonly maybeRepeated: boolean;
  /** For programs: what the words say, keyed with SI units. */
  readonly data: Readonly<Record<string, unknown>>;
}

export type Outcome =
  /** The receiver's own confirmation. */
  | { readonly is: "delivered" }
  /** Handed to one who carries it further; a confirmation may follow through `onReceipt`. */
  | { readonly is: "handed-over" }
  /**
   * Not sent. `again`: later it may work; else another attempt is of no use. `reason` says what to change. `mayHaveLeft`:
   * it was under way when the answer stayed away, so that another attempt may be a repetition.
   */
  | { readonly is: "failed"; readonly reason: string; readonly again: boolean; readonly mayHaveLeft?: boolean };

/** What the daemon gives to a channel. */
export interface ChannelContext {
  readonly siteName: string;
  /** Addresses of the contacts that are reached by it. */
  readonly addresses: readonly string[];
  /** Folder of the site file, for relative paths. */
  readonly baseFolder: string;
  /** Path of a file of the channel's own, beside the record: `phones.json` gives `site.phones.json`. */
  beside(ending: string): string;
  now_s(): number;
  log(line: string): void;
  /** Someone answered: an acknowledgement, if the words say so. */
  onReply(from: string, text: string): void;
  /** What became later of a message that was handed over. */
  onReceipt(key: string, delivered: boolean, reason: string | null): void;
}

export interface ChannelHealth {
  /** In words, for the page: why nothing gets through; null while all is well. */
  readonly problem: string | null;
  /** What else is worth knowing, such as `signal 17 of 31`. */
  readonly note: string | null;
}

/** A channel at work. */
export interface OpenChannel {
  /**
   * Resolves when it is known what became of this attempt; never rejects for a fault of the network, the device or the
   * address. Calls may overlap; a device that can do but one at a time queues them itself.
   *
   * @param signal given up: what has not left by then must not leave later
   */
  send(message: OutgoingMessage, signal: AbortSignal): Promise<Outcome>;
  /** For what goes on until somebody knows: these occurrences (`data.alarms[].occurrence`) are acknowledged or over. */
  silence?(occurrences: readonly string[]): void;
  /** After a restart: the address was told of this occurrence, and nobody has answered. What goes on until then goes on. */
  resume?(to: string, occurrence: string, priority: Priority): void;
  /** @param to of this address alone, where the channel knows them apart; without it, of all */
  health(to?: string): ChannelHealth;
  /** Of a channel whose receivers are taken up on the page. */
  readonly phones?: ChannelPhones | undefined;
  close(): void | Promise<void>;
}

/** The phones that a channel tells, by the address (`to`) under which each was taken up. */
export interface ChannelPhones {
  /** What a browser needs to subscribe (`applicationServerKey`), in base64url. */
  readonly publicKey: string;
  /** Also those that are told no more, and why. */
  all(): readonly Phone[];
  /** Why a phone was not reached last time; null: it was, or nothing was sent. */
  problemOf(id: string): string | null;
  /**
   * @param replaces id of the phone whose subscription this one takes the place of
   * @throws {RangeError} when the subscription is none, or there are too many
   * @throws {Error} when it cannot be kept
   */
  add(phone: { readonly to: string; readonly name: string }, of: Subscription, replaces: string | null): Phone;
  /** @throws {Error} when that cannot be kept */
  remove(id: string): boolean;
  /** A phone says that it showed a message; false: it was sent no such thing. */
  shown(id: string, key: string): boolean;
}

export interface ChannelKind<Schema extends z.ZodType = z.ZodType> {
  readonly kind: string;
  /**
   * Strict object schema with `kind: z.literal(…)` and `name`; its `.describe()` texts become the reference table. As
   * `z.lazy(() => …)`: every command loads all kinds, and most site files name few of them.
   */
  readonly config: Schema;
  /** Receivers compare keys, or the same message twice is one: a repetition then needs no mark. */
  readonly comparesKeys: boolean;
  /** It carries no words: a sounder, a lamp. */
  readonly wordless?: boolean;
  /** People can answer by it: a message then says how. */
  readonly takesReplies: boolean;
  /** What it keeps, it keeps once: a site file names one of the kind at most. */
  readonly onlyOne?: boolean;
  /** What is wrong with an address, as `expected …, found …`; null when it is right. */
  addressProblem(to: string): string | null;
  /** Opens the device or the connection. A library is imported here, when it is needed, not at the top of the file. */
  open(config: z.output<Schema>, context: ChannelContext): OpenChannel | Promise<OpenChannel>;
}

export function defineChannel<Schema extends z.ZodType>(channel: ChannelKind<Schema>): ChannelKind<Schema> {
  return channel;
}

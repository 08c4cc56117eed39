// What the server needs from the daemon: questions it may ask, and the one thing it may change.

import type { IncomingMessage, ServerResponse } from "node:http";
import type { FastifyBaseLogger, FastifyInstance, FastifyTypeProvider, RawServerDefault } from "fastify";
import type * as z from "zod";
import type { AlarmName } from "../../analysis/alarms/alarm.ts";
import type { ReportSummary } from "../../analysis/report/report.ts";
import type { Subscription } from "../push/phone-book.ts";
import type { OpenSource } from "../sources/source.ts";
import type { RecordReader } from "../stores/record-reader.ts";
import type { AlarmsAnswer } from "./alarms-types.ts";
import type { LiveState, SiteInfo } from "./api-types.ts";
import type { LiveFeed } from "./live-feed.ts";
import type { PhonesAnswer } from "./phones-types.ts";
import type { TlsFiles } from "./tls.ts";

export interface ServerParts {
  readonly siteInfo: SiteInfo;
  readonly record: RecordReader;
  readonly feed: LiveFeed;
  state(): LiveState;
  /** What the readings so far say. */
  summary(): ReportSummary;
  /** Null for a real basin, whose time nobody changes. */
  speed(): NonNullable<OpenSource["speed"]> | null;
  /** Null or absent where nobody is called: of what is played, and in the view from afar. */
  readonly alarms?: AlarmDesk | null;
  /** Address that the server listens on; on loopback, requests that name another host are turned away. */
  readonly host: string | null;
  /** For `https`; absent: `http`. */
  readonly tls?: TlsFiles | undefined;
  /** The name in the address that its owner gave out; null or absent: none. */
  readonly alsoCalled?: string | null;
  /** Folder of the built page. */
  readonly pageFolder: string;
}

/** What a person at the page may see and do about alarms. */
export interface AlarmDesk {
  view(): AlarmsAnswer;
  acknowledge(name: AlarmName, by: string, via?: "page" | "link"): void;
  reset(name: AlarmName, by: string): void;
  /** @throws {RangeError} when that is too long */
  shelve(name: AlarmName, for_s: number, by: string, reason: string | null): void;
  unshelve(name: AlarmName, by: string): void;
  setInService(name: AlarmName, inService: boolean, by: string, reason: string | null): void;
  /** Of basin and pump. @param day `2026-05-01`; null: today. @throws {RangeError} for one that is still to come */
  enterService(by: string, day: string | null): void;
  /** @throws {RangeError} where none was entered for that day */
  takeBackService(by: string, day: string): void;
  /** @throws {RangeError} when there is no such contact, or no such channel of it */
  test(contact: string, by: string | null, askedBy?: string | null): void;
  /** The phones that are told by their browsers' push services. */
  readonly phones?: PhoneDesk;
  /** What a link in a message stands for; null: nothing of ours, or of long ago. */
  byToken(token: string): {
    /** Whom the link was sent to. */
    readonly contact: string;
    /** What the message told of, one or several that came together. */
    readonly alarms: readonly {
      readonly name: AlarmName;
      readonly title: string;
      readonly whatToDo: string;
      readonly isOver: boolean;
      readonly acknowledgedBy: string | null;
    }[];
  } | null;
}

/** What a person at the page, and the phone itself, may see and do about the phones that are told. */
export interface PhoneDesk {
  view(): PhonesAnswer;
  /** @throws {RangeError} when there is no such person, or the subscription is none */
  add(person: string, name: string, subscription: Subscription): PhonesAnswer;
  /**
   * Another subscription of a phone that is on the list.
   * @param replaces address of the one before
   * @throws {RangeError} when it is not on the list
   */
  renew(replaces: string, subscription: Subscription): PhonesAnswer;
  remove(phone: string): PhonesAnswer;
  /** To all phones of a person. @throws {RangeError} when there is no such person */
  test(person: string): PhonesAnswer;
  /** The phone showed a message; false: it was sent no such thing. */
  shown(phone: string, key: string): boolean;
}

/** Lets a route's zod schemas type its query and body. */
export interface ZodTypes extends FastifyTypeProvider {
  readonly validator: this["schema"] extends z.ZodType ? z.output<this["schema"]> : unknown;
  readonly serializer: unknown;
}

export type Server = FastifyInstance<
  RawServerDefault,
  IncomingMessage,
  ServerResponse<IncomingMessage>,
  FastifyBaseLogger,
  ZodTypes
>;

// Tells the phones of those who may see a basin that it calls for somebody, or is silent, and that this is over. At least
// once: what was told is kept, what was not is told again, with growing pauses, for as long as it is true.

import { readFileSync } from "node:fs";
import * as z from "zod";
import { openPhoneBook, type Phone, type PhoneBook, type Subscription } from "../../push/phone-book.ts";
import { type PhoneSender, phoneSender } from "../../push/phone-sender.ts";
import { writeWhole } from "../../push/write-whole.ts";
import type { Schedule } from "../../sources/schedule.ts";
import type { OverviewRow } from "../central-types.ts";
import type { CentralFile } from "../config/central-file.ts";
import { type NamedBasin, sayStanding, sayTest, type Told } from "./say-standing.ts";
import { type Standing, whatStands } from "./what-stands.ts";

export interface PhoneTeller {
  /** Takes what is true of a basin, whenever that changes. */
  see(row: OverviewRow): void;
  readonly book: PhoneBook;
  readonly sender: PhoneSender;
  /** The browser of a phone has got another subscription. @throws as PhoneBook.add */
  renew(before: Phone, subscription: Subscription): void;
  /** Sends a test to the phones of a person. @throws {RangeError} right after another */
  test(person: string): void;
  /** When nothing is under way any more. */
  idle(): Promise<void>;
  close(): Promise<void>;
}

export interface PhoneTellerParts {
  readonly phones: NonNullable<CentralFile["phones"]>;
  readonly viewName: string;
  readonly ca: Buffer | null;
  /** Whether whoever a phone was taken up by may see a basin. */
  maySee(person: string, basin: string): boolean;
  readonly now_s: () => number;
  readonly schedule: Schedule;
  log(line: string): void;
}

const look_s = 1;
/** Notices to one phone are so far apart, and gather what came meanwhile. */
const gap_s = 30;
/** Tests of one person are so far apart: they go to addresses that whoever is logged in has given. */
const betweenTests_s = 30;
const firstPause_s = 5;
const longestPause_s = 900;

/** Of one phone: what is under way to it, and when it may be sent something again. */
interface Lane {
  readonly next_s: number;
  readonly pause_s: number;
  readonly busy: boolean;
}

/** @throws {Error} when the phones' file can neither be read nor made */
export function tellPhones(parts: PhoneTellerParts): PhoneTeller {
  const { phones: config, now_s, log } = parts;
  const book = openPhoneBook(config.file, now_s, log);
  const sender = phoneSender({ book, email: config.email, ca: parts.ca, now_s, log });
  const toldPath = `${config.file}.told`;
  const standing = whatStands({ on_s: config.tellAfter_s, off_s: config.tellAfter_s }, readTold(toldPath, log));
  const named = new Map<string, NamedBasin>();
  const lanes = new Map<string, Lane>();
  const tested_s = new Map<string, number>();
  const giveUp = new AbortController();
  const underWay = new Set<Promise<void>>();
  let cancel = parts.schedule(look, look_s);

  function look(): void {
    const now = now_s();
    const live = book.phones().filter(({ ended }) => ended === null);
    standing.forgetPhonesBut(new Set(live.map(({ id }) => id)));
    const [due, over] = [standing.due(now), standing.over(now)];
    for (const phone of live) tell(phone, due, over, now);
    cancel = parts.schedule(look, look_s);
  }

  function tell(phone: Phone, due: readonly Standing[], over: readonly Standing[], now: number): void {
    const { next_s = 0, pause_s = firstPause_s, busy = false } = lanes.get(phone.id) ?? {};
    if (busy || next_s > now) return;
    // What stood before the phone was taken up, its owner has seen on the page.
    const begun = due.filter(
      ({ basin, told, seen_s }) => !told.includes(phone.id) && seen_s > phone.since_s && parts.maySee(phone.to, basin),
    );
    const ended = over.filter(({ told }) => told.includes(phone.id));
    const mine = ended.filter(({ basin }) => parts.maySee(phone.to, basin));
    for (const each of ended) if (!mine.includes(each)) standing.toldOver(each, phone.id);
    if (begun.length + mine.length === 0) return;
    lanes.set(phone.id, { next_s, pause_s, busy: true });
    const done = send(phone, sayStanding(begun, mine, aboutBasin), begun, mine, pause_s).finally(() => {
      underWay.delete(done);
    });
    underWay.add(done);
  }

  async function send(
    phone: Phone,
    { note, treatment }: Told,
    begun: readonly Standing[],
    ended: readonly Standing[],
    pause_s: number,
  ): Promise<void> {
    const outcome = await sender.send(phone, note, treatment, giveUp.signal);
    const now = now_s();
    if (outcome.is === "failed") {
      const wait_s = Math.max(pause_s, outcome.wait_s ?? 0);
      lanes.set(phone.id, { next_s: now + wait_s, pause_s: Math.min(longestPause_s, pause_s * 2), busy: false });
      return;
    }
    lanes.set(phone.id, { next_s: now + gap_s, pause_s: firstPause_s, busy: false });
    if (outcome.is === "gone") return;
    for (const each of begun) standing.told(each, phone.id);
    for (const each of ended) standing.toldOver(each, phone.id);
    keep();
  }

  async function idle(): Promise<void> {
    await Promise.all(underWay);
  }

  function keep(): void {
    try {
      writeWhole(toldPath, JSON.stringify(standing.kept()));
    } catch (error) {
      log(`${toldPath}: cannot be written: ${error instanceof Error ? error.message : error}`);
    }
  }

  function aboutBasin(name: string): NamedBasin {
    return named.get(name) ?? { title: name, place: null, contact: null };
  }

  return {
    book,
    sender,
    see({ name, title, place, contact, conditions, enrolled, invented }) {
      if (!enrolled || invented) return;
      named.set(name, { title, place, contact });
      standing.see(name, conditions, now_s());
    },
    renew(before, subscription) {
      const { id } = book.add(before, subscription, before.id);
      standing.renew(before.id, id);
      keep();
    },
    test(person) {
      const now = now_s();
      const ago_s = Math.round(now - (tested_s.get(person) ?? Number.NEGATIVE_INFINITY));
      if (ago_s < betweenTests_s)
        throw new RangeError(`test: expected ${betweenTests_s} s between two tests, found ${ago_s} s`);
      tested_s.set(person, now);
      const { note, treatment } = sayTest(parts.viewName, now);
      for (const phone of book.phones()) {
        if (phone.to !== person || phone.ended !== null) continue;
        const done: Promise<void> = sender
          .send(phone, note, treatment, giveUp.signal)
          .then(() => {})
          .finally(() => underWay.delete(done));
        underWay.add(done);
      }
    },
    idle,
    async close() {
      cancel();
      giveUp.abort();
      await idle();
    },
  };
}

const kept = z.array(
  z.object({
    basin: z.string(),
    condition: z.object({
      kind: z.string(),
      tier: z.enum(["now", "silent", "soon", "service", "well"]),
      rank: z.number(),
      since_s: z.number().nullable(),
      advice: z.string().nullable(),
    }),
    seen_s: z.number(),
    gone_s: z.number().nullable(),
    told: z.array(z.string()),
  }),
);

/** Without it, what stands is told once more. */
function readTold(path: string, log: (line: string) => void): Standing[] {
  try {
    return kept.parse(JSON.parse(readFileSync(path, "utf8")));
  } catch (error) {
    if (!(error instanceof Error && "code" in error && error.code === "ENOENT"))
      log(`${path}: cannot be used: ${error instanceof Error ? error.message : error}`);
    return [];
  }
}

// The phones that are told by their browser's push service, and the key pair that signs what they are sent: one file beside
// the record, readable to its owner alone. A phone's subscription belongs to the keys; without them it is worth nothing.

import { createECDH, createHash } from "node:crypto";
import { readFileSync, renameSync } from "node:fs";
import * as z from "zod";
import { writeWhole } from "./write-whole.ts";

const phone = z.lazy(() =>
  z.strictObject({
    /** Of the subscription's address: tells two phones apart without giving the address away. */
    id: z.string(),
    /** Who is told by it: the address of a contact, or the name of a log-in. */
    to: z.string(),
    name: z.string(),
    endpoint: z.string(),
    p256dh: z.string(),
    auth: z.string(),
    since_s: z.number(),
    /** The push service last took something for it. */
    took_s: z.number().nullable(),
    /** The phone itself last said that it showed something. */
    shown_s: z.number().nullable(),
    /** Why it is told nothing any more; null while it is. */
    ended: z.strictObject({ at_s: z.number(), reason: z.string() }).nullable(),
  }),
);
const file = z.lazy(() =>
  z.strictObject({
    format: z.literal("undercroft-phones/1"),
    publicKey: z.string(),
    privateKey: z.string(),
    phones: z.array(phone),
  }),
);

export type Phone = Readonly<z.output<typeof phone>>;

/** As a browser gives it (`PushSubscription.toJSON()`). */
export interface Subscription {
  readonly endpoint: string;
  readonly keys: { readonly p256dh: string; readonly auth: string };
}

export interface PhoneBook {
  /** Base64url; the public one goes to browsers that subscribe. */
  readonly keys: { readonly publicKey: string; readonly privateKey: string };
  phones(): readonly Phone[];
  /**
   * Takes a phone up, or anew; one whose browser has got another subscription replaces the one before, and is told of what
   * that one would have been.
   * @throws {RangeError} when the subscription is none, or the book is full
   * @throws {Error} when it cannot be kept
   */
  add(phone: { readonly to: string; readonly name: string }, of: Subscription, replaces?: string | null): Phone;
  /** Notes what became of a message; what cannot be written now is kept with the next change. */
  note(id: string, change: Partial<Pick<Phone, "took_s" | "shown_s" | "ended">>): void;
  /** @throws {Error} when that cannot be kept */
  remove(id: string): boolean;
}

const mostPhones = 200;
const mostOfOne = 20;
const longestEndpoint = 1000;

/** @throws {Error} when the file can neither be read nor made */
export function openPhoneBook(path: string, now_s: () => number, log: (line: string) => void): PhoneBook {
  const { keys, phones: kept } = readOrMake(path, now_s, log);
  let phones: readonly Phone[] = kept;
  const keep = (next: readonly Phone[]) => {
    write(path, { format: "undercroft-phones/1", ...keys, phones: [...next] });
    phones = next;
  };
  return {
    keys,
    phones: () => phones,
    add({ to, name }, { endpoint, keys: { p256dh, auth } }, replaces = null) {
      const problem = subscriptionProblem({ endpoint, keys: { p256dh, auth } });
      if (problem !== null) throw new RangeError(problem);
      const id = idOf(endpoint);
      const others = phones.filter((each) => each.id !== id && each.id !== replaces);
      if (others.length >= mostPhones || others.filter((each) => each.to === to).length >= mostOfOne)
        throw new RangeError(`expected at most ${mostOfOne} phones of one person; take one off the list first`);
      const since_s = phones.find((each) => each.id === replaces)?.since_s ?? now_s();
      const added: Phone = {
        ...{ id, to, name, endpoint, p256dh, auth, since_s },
        ...{ took_s: null, shown_s: null, ended: null },
      };
      keep([...others, added]);
      return added;
    },
    note(id, change) {
      const next = phones.map((each) => (each.id === id ? { ...each, ...change } : each));
      try {
        keep(next);
      } catch (error) {
        phones = next;
        log(`${path}: cannot be written: ${error instanceof Error ? error.message : error}`);
      }
    },
    remove(id) {
      const left = phones.filter((each) => each.id !== id);
      if (left.length === phones.length) return false;
      keep(left);
      return true;
    },
  };
}

export function idOf(endpoint: string): string {
  return createHash("sha256").update(endpoint).digest("base64url").slice(0, 22);
}

/** What is wrong with what claims to be a browser's subscription; null when nothing is. */
export function subscriptionProblem({ endpoint, keys: { p256dh, auth } }: Subscription): string | null {
  const isHttps = URL.canParse(endpoint) && new URL(endpoint).protocol === "https:";
  if (!isHttps || endpoint.length > longestEndpoint)
    return `endpoint: expected an https address of up to ${longestEndpoint} characters, found ${JSON.stringify(endpoint.slice(0, 80))}`;
  const isSecret = /^[\w-]+=*$/.test(auth) && Buffer.from(auth, "base64url").length === 16;
  if (!isSecret) return "keys.auth: expected 16 bytes in base64url";
  try {
    const point = Buffer.from(p256dh, "base64url");
    // Uncompressed (RFC 8291, 3.1); one that is not on the curve is refused by the sum.
    if (!/^[\w-]+=*$/.test(p256dh) || point.length !== 65) throw new RangeError();
    const ecdh = createECDH("prime256v1");
    ecdh.generateKeys();
    ecdh.computeSecret(point);
    return null;
  } catch {
    return "keys.p256dh: expected a point of P-256, 65 bytes in base64url";
  }
}

function readOrMake(path: string, now_s: () => number, log: (line: string) => void) {
  let text: string | null = null;
  try {
    text = readFileSync(path, "utf8");
  } catch (error) {
    if (!(error instanceof Error && "code" in error && error.code === "ENOENT")) throw error;
  }
  if (text !== null) {
    const kept = file.safeParse(parsed(text));
    if (kept.success) {
      const { publicKey, privateKey, phones } = kept.data;
      return { keys: { publicKey, privateKey }, phones };
    }
    const aside = `${path}.aside-${new Date(now_s() * 1000).toISOString().replaceAll(":", "-").slice(0, 19)}`;
    renameSync(path, aside);
    log(`${path} cannot be used and stands aside as ${aside}; each phone has to be taken up anew`);
  }
  const keys = newKeys();
  write(path, { format: "undercroft-phones/1", ...keys, phones: [] });
  return { keys, phones: [] };
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

function newKeys(): PhoneBook["keys"] {
  const ecdh = createECDH("prime256v1");
  ecdh.generateKeys();
  // Leading zeros are left out of a small private key, which has to have 32 bytes.
  const secret = Buffer.concat([Buffer.alloc(32), ecdh.getPrivateKey()]).subarray(-32);
  return {
    publicKey: ecdh.getPublicKey().toString("base64url"),
    privateKey: secret.toString("base64url"),
  };
}

function write(path: string, content: z.output<typeof file>): void {
  writeWhole(path, `${JSON.stringify(content, null, 2)}\n`);
}

import { createHmac, timingSafeEqual } from "node:crypto";
import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { parse } from "yaml";
import * as z from "zod";
import { channelKinds } from "../../../../daemon/alarms/channels/index.ts";

const text = readFileSync(new URL("../../../../daemon/alarms/channels/README.md", import.meta.url), "utf8");
const section = (kind: string) => text.split(/^## /m).find((part) => part.startsWith(`${kind}\n`)) ?? "";
const blocks = (language: string, of = text) =>
  [...of.matchAll(new RegExp(`^\`\`\`${language}\\n([^]*?)^\`\`\``, "gm"))].map(([, code = ""]) => code);

describe("the README of the channels", () => {
  it("has a section and a row for each kind, and no other", () => {
    const kinds = channelKinds.map(({ kind }) => kind);
    expect([...text.matchAll(/^## (.+)$/gm)].map(([, heading]) => heading)).toEqual(kinds);
    expect([...text.matchAll(/^\| `([\w-]+)` \|/gm)].map(([, kind]) => kind)).toEqual(kinds);
  });

  it.each(channelKinds.map(({ kind, config }) => ({ kind, config })))(
    "names every key of $kind",
    ({ kind, config }) => {
      const built = config instanceof z.ZodLazy ? config.unwrap() : config;
      const keys = built instanceof z.ZodObject ? Object.keys(built.shape) : [];
      expect(keys.length).toBeGreaterThan(2);
      const named = (key: string) => section(kind).includes(key);
      expect(keys.filter((key) => !named(`\`${key}\``) && !named(`\`${key}: `) && !named(` ${key}: `))).toEqual([]);
    },
  );

  it("shows channels that pass the check", () => {
    const shown = blocks("yaml").flatMap((code) => {
      const read: unknown = parse(code);
      return Array.isArray(read) ? read : ((read as { channels: unknown[] }).channels ?? []);
    }) as { kind: string }[];
    expect(shown.length).toBeGreaterThan(7);
    for (const channel of shown) {
      const kind = channelKinds.find((each) => each.kind === channel.kind);
      expect(kind?.config.safeParse(channel).error?.issues ?? []).toEqual([]);
    }
  });

  it("shows a check of the signature that knows a genuine message and no other", () => {
    const [code = ""] = blocks("js");
    const source = code.replace(/^import .*$/m, "");
    const isGenuine = new Function("createHmac", "timingSafeEqual", `${source}; return isGenuine;`)(
      createHmac,
      timingSafeEqual,
    ) as (headers: Record<string, string>, body: string, secret: string) => boolean;
    const time = String(Math.round(Date.now() / 1000));
    const sign = (at: string) => `sha256=${createHmac("sha256", "s").update(`${at}.{}`).digest("hex")}`;
    const headers = { "x-undercroft-time": time, "x-undercroft-signature": sign(time) };
    expect(isGenuine(headers, "{}", "s")).toBe(true);
    expect(isGenuine(headers, "{ }", "s")).toBe(false);
    expect(isGenuine(headers, "{}", "t")).toBe(false);
    expect(isGenuine({}, "{}", "s")).toBe(false);
    const old = String(Number(time) - 1000);
    expect(isGenuine({ "x-undercroft-time": old, "x-undercroft-signature": sign(old) }, "{}", "s")).toBe(false);
  });
});

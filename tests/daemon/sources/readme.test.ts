import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import * as z from "zod";
import { sourceKinds } from "../../../daemon/sources/index.ts";
import { channelsSchema } from "../../../daemon/sources/mqtt/channel-schema.ts";

const text = readFileSync(new URL("../../../daemon/sources/README.md", import.meta.url), "utf8");

/** What stands below the heading of a kind, up to the next. */
function section(kind: string): string {
  return text.split(/^## /m).find((part) => part.startsWith(`${kind}\n`)) ?? "";
}

function keysOf(schema: z.ZodType): string[] {
  const built = schema instanceof z.ZodLazy ? schema.unwrap() : schema;
  return built instanceof z.ZodObject ? Object.keys(built.shape) : [];
}

describe("the README of the sources", () => {
  it("has a section for each kind, and no other", () => {
    const headings = [...text.matchAll(/^## (.+)$/gm)].map(([, heading]) => heading);
    expect(headings).toEqual(sourceKinds.map(({ kind }) => kind));
  });

  it.each(sourceKinds.map(({ kind, config }) => ({ kind, config })))("names every key of $kind", ({ kind, config }) => {
    const keys = keysOf(config).filter((key) => key !== "kind" && key !== "name");
    expect(keys.length).toBeGreaterThan(1);
    expect(keys.filter((key) => !section(kind).includes(`\`${key}\``))).toEqual([]);
  });

  it("names every channel, and every key of an mqtt channel", () => {
    const channels = Object.entries(channelsSchema.unwrap().shape);
    const keys = channels.flatMap(([name, channel]) => [name, ...keysOf(channel.unwrap())]);
    expect(keys.length).toBeGreaterThan(30);
    expect([...new Set(keys)].filter((key) => !text.includes(`\`${key}\``))).toEqual([]);
  });
});

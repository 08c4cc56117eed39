import { describe, expect, it } from "vitest";
import * as z from "zod";
import { channelKinds } from "../../../daemon/alarms/channels/index.ts";
import { parseSiteFile } from "../../../daemon/config/parse-site-file.ts";
import { sourceKinds } from "../../../daemon/sources/index.ts";
import { defineSource } from "../../../daemon/sources/source.ts";

const basin = "basin: { shape: round, diameter: 18 in }\n";

describe("a list of entries of several kinds", () => {
  it("builds the schema of a kind only once the file names it", () => {
    const built: string[] = [];
    const kinds = ["wheel", "rope"].map((kind) =>
      defineSource({
        kind,
        config: z.lazy(() => {
          built.push(kind);
          return z.strictObject({ kind: z.literal(kind), name: z.string() });
        }),
        open: () => ({ close() {} }),
      }),
    );
    expect(parseSiteFile(basin, "site.yaml", kinds).ok).toBe(true);
    expect(built).toEqual([]);
    const named = parseSiteFile(
      `${basin}sources: [{ kind: rope, name: a }, { kind: rope, name: b }]\n`,
      "b.yaml",
      kinds,
    );
    expect(named.ok && named.siteFile.sources.map(({ name }) => name)).toEqual(["a", "b"]);
    expect(built).toEqual(["rope"]);
  });

  it.each([...sourceKinds, ...channelKinds])("has none of $kind built when it is loaded", ({ config }) => {
    expect(config).toBeInstanceOf(z.ZodLazy);
  });
});

// The reference of the site file, written from its schema: every key, what it is, what it takes, its default.
// `node daemon/config/reference.ts` writes it into reference.md, which the documents point to.

import { writeFileSync } from "node:fs";
import { type Dimension, siUnit, unitsOf } from "../../analysis/units/unit.ts";
import type { ChannelKind } from "../alarms/channels/channel.ts";
import { channelKinds } from "../alarms/channels/index.ts";
import { sourceKinds } from "../sources/index.ts";
import type { SourceKind } from "../sources/source.ts";
import { type KeyRow, keyRows } from "./key-rows.ts";
import { siteFileSchema } from "./schema.ts";

/** The whole document, in Markdown. */
export function siteFileReference(
  kinds: readonly SourceKind[],
  channels: readonly ChannelKind[] = channelKinds,
): string {
  const groups = Object.entries(siteFileSchema(kinds).shape).filter(([name]) => name !== "sources");
  return [
    intro,
    ...groups.map(([name, schema]) => section(name, keyRows(schema, name))),
    "## sources\n\nA list; each entry has a `kind`, and the keys of that kind.",
    ...kinds.map(({ kind, config }) => section(`sources, kind ${kind}`, keyRows(config, ""), "###")),
    "## alarms.channels\n\nA list; each entry has a `kind`, and the keys of that kind.",
    ...channels.map(({ kind, config }) => section(`alarms.channels, kind ${kind}`, keyRows(config, ""), "###")),
    quantities(),
  ].join("\n\n");
}

const intro = `# The site file, key by key

Written by \`node daemon/config/reference.ts\` from the schema; edit the schema, not this.

Only \`basin\` is required. "required" below means: in a group that is given. A misspelt key is an error.`;

export function section(heading: string, rows: readonly KeyRow[], level = "##"): string {
  const cells = rows.map(({ key, meaning, value, fallback }) => [`\`${key}\``, meaning, value, fallback]);
  return `${level} ${heading}\n\n${table([["key", "meaning", "value", "default"], ...cells])}`;
}

function quantities(): string {
  const dimensions = Object.keys(siUnit).filter((name): name is Dimension => name in siUnit);
  const rows = dimensions.map((dimension) => [dimension, unitsOf(dimension).join(", ")]);
  const head = "A number and its unit: `18 in`, `45.7 cm`, `1-1/2 in`. Gallons are US gallons, hp is 550 ft·lbf/s.";
  return `## Quantities\n\n${head}\n\n${table([["quantity", "units"], ...rows])}\n`;
}

/** Columns as wide as their widest cell, as the formatter of the project writes them. */
function table([head = [], ...rows]: readonly (readonly string[])[]): string {
  const widths = head.map((_, column) => Math.max(...[head, ...rows].map((row) => row[column]?.length ?? 0)));
  const line = (cells: readonly string[]) => `| ${cells.map((cell, i) => cell.padEnd(widths[i] ?? 0)).join(" | ")} |`;
  return [line(head), line(widths.map((width) => "-".repeat(width))), ...rows.map(line)].join("\n");
}

if (import.meta.main) writeFileSync(new URL("./reference.md", import.meta.url), siteFileReference(sourceKinds));

// The reference of the central view's file, written from its schema. `node daemon/central/config/central-reference.ts`
// writes it into central-reference.md.

import { writeFileSync } from "node:fs";
import { keyRows } from "../../config/key-rows.ts";
import { section } from "../../config/reference.ts";
import { centralSchema } from "./central-schema.ts";

/** The whole document, in Markdown. */
export function centralReference(): string {
  const { basins_folder, ...groups } = centralSchema.shape;
  const sections = Object.entries(groups).map(([name, schema]) => {
    const rows = keyRows(schema, name);
    return section(name, name === "basins" ? [...rows, ...keyRows(basins_folder, "basins_folder")] : rows);
  });
  return `${[intro, ...sections].join("\n\n")}\n`;
}

const intro = `# The central view's file, key by key

Written by \`node daemon/central/config/central-reference.ts\` from the schema; edit the schema, not this.

Only \`broker\` is required. "required" below means: in a group that is given. A misspelt key is an error. A length of time carries its unit: \`5 min\`, \`365 d\`. \`undercroft check central.yaml\` says whether the file holds and what it means.`;

if (import.meta.main) writeFileSync(new URL("./central-reference.md", import.meta.url), centralReference());

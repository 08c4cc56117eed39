// The `forward` group of the site file: the shared database to which the record is forwarded.

import * as z from "zod";
import { basinName, checkDatabaseConnection, databaseConnectionKeys } from "../../stores/influx/connection.ts";
import { evenIfIncomplete } from "../cross-check.ts";
import { quantity } from "../quantity.ts";
import type { ForwardConfig } from "../site-file.ts";

export const forwardSchema = () =>
  z
    .strictObject({
      ...databaseConnectionKeys(),
      basin: basinName.describe("name of this basin there: small letters, digits and dashes, no two basins alike"),
      every: quantity("duration", { min: "1 s", max: "1 h" })
        .prefault("5 s")
        .describe("readings wait for others so long at most; a cycle or a finding goes at once"),
      replaces: z
        .string()
        .regex(/^[0-9a-f]{16}$/, "expected the sixteen digits of a board, as the refusal of its name gives them")
        .optional()
        .describe("the board whose name this one takes over"),
    })
    .superRefine(checkDatabaseConnection, evenIfIncomplete);

export function toForwardConfig({
  every,
  replaces,
  ...connection
}: z.output<ReturnType<typeof forwardSchema>>): ForwardConfig {
  return { ...connection, every_s: every, replaces: replaces ?? null };
}

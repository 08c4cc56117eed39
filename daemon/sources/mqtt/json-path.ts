// Where a value stands in a JSON message: `$.depth.mm`, `sensors[0].level`, `sensors.0.level`. Dotted keys, and
// numbers for places in a list; nothing else of JSONPath. A key with a dot in it cannot be named.

import * as z from "zod";

/** Keys from the outermost in. `$` alone, an empty list, is the whole message. */
export type JsonPath = readonly string[];

const form = /^(?:\$|(?:\$\.)?[^.[\]$]+|\$\[\d+\])(?:\.[^.[\]$]+|\[\d+\])*$/;

/** Schema of a path: text in, keys out. */
export const jsonPath = z
  .string()
  .regex(form, { error: ({ input }) => `expected a path such as $.depth.mm, found ${JSON.stringify(input)}` })
  .transform(
    (text): JsonPath =>
      text
        .replace(/^\$\.?/, "")
        .split(/[.[\]]+/)
        .filter((key) => key !== ""),
  );

/** The path as a message names it. */
export function pathText(path: JsonPath): string {
  return ["$", ...path].join(".");
}

/** What stands there; undefined when nothing does. */
export function valueAt(message: unknown, path: JsonPath): unknown {
  return path.reduce<unknown>((value, key) => {
    if (typeof value !== "object" || value === null) return undefined;
    return Object.getOwnPropertyDescriptor(value, key)?.value;
  }, message);
}

// A quantity in the site file: text with its unit in, SI number out. The reading itself is in analysis/units.

import * as z from "zod";
import { expectedQuantity, parseQuantity, QuantityError, type QuantityOptions } from "../../analysis/units/quantity.ts";
import type { Dimension } from "../../analysis/units/unit.ts";
import { describeFound } from "./explain-issue.ts";

/** Limits are written as quantities too, `{ above: "0 mm", max: "1 s" }`, and appear in the message as written. */
export interface QuantityLimits extends QuantityOptions {
  /** More than. */
  readonly above?: string;
  readonly min?: string;
  readonly max?: string;
}

/**
 * Schema of a quantity; its output is in SI. Give a default by `.prefault("50 ms")`. It takes whatever is there and
 * leaves nothing behind when that is wrong, so that a cross-check never meets a bare number.
 */
export function quantity(dimension: Dimension, limits: QuantityLimits = {}) {
  return z
    .unknown()
    .transform((input, context) => {
      const value = read(input, dimension, limits);
      if (typeof value === "number") return value;
      context.addIssue(value.problem);
      return z.NEVER;
    })
    .meta({ quantity: dimension });
}

function read(input: unknown, dimension: Dimension, limits: QuantityLimits): number | { readonly problem: string } {
  if (typeof input !== "string") {
    const bare = typeof input === "number" ? "the bare number " : "";
    return { problem: `expected ${expectedQuantity(dimension)}, found ${bare}${describeFound(input)}` };
  }
  try {
    const value = parseQuantity(input, dimension, limits);
    const expected = outside(value, dimension, limits);
    return expected === null ? value : { problem: `expected ${expected}, found ${input.trim()}` };
  } catch (error) {
    if (error instanceof QuantityError) return { problem: error.message };
    throw error;
  }
}

function outside(value: number, dimension: Dimension, { above, min, max }: QuantityLimits): string | null {
  const limit = (text: string) => parseQuantity(text, dimension, { signed: true });
  if (above !== undefined && value <= limit(above)) return `more than ${above}`;
  if (min !== undefined && value < limit(min)) return `at least ${min}`;
  if (max !== undefined && value > limit(max)) return `at most ${max}`;
  return null;
}

// The query that most routes share: a stretch of time and how much of it is wanted. Everything in a query is text.

import * as z from "zod";
import type { Span } from "../stores/store.ts";
import { BadRequest } from "./validate-request.ts";

const day_s = 86_400;
/** Far beyond any record, and still an instant that `Date` can write. */
const farthest_s = 8e12;

function numberInQuery<Schema extends z.ZodType>(schema: Schema) {
  const plain = /^[+-]?\d+(\.\d*)?(e[+-]?\d+)?$/i;
  return z.preprocess((text) => (typeof text === "string" && plain.test(text) ? Number(text) : text), schema);
}

const time_s = z.number().min(-farthest_s).max(farthest_s);

export const spanShape = {
  from_s: numberInQuery(time_s.describe("beginning, Unix time in seconds")).optional(),
  to_s: numberInQuery(time_s.describe("end, Unix time in seconds; by default the end of the record")).optional(),
};

/** @param about which time, for the reference */
export function timeInQuery(about: string) {
  return numberInQuery(time_s.describe(`${about}; Unix time in seconds`));
}

/** Of a route that takes no query: a key in it is a mistake, and is said. */
export const noQuery = z.strictObject({});

/** @param about what is limited, for the reference */
export function countInQuery(about: string, most: number, byDefault: number) {
  return numberInQuery(z.int().min(1).max(most).describe(about)).default(byDefault);
}

interface SpanQuery {
  readonly from_s?: number | undefined;
  readonly to_s?: number | undefined;
}

/** The whole record where the query does not say otherwise. */
export function wholeRecord(query: SpanQuery, record: Span | null): Span {
  const to_s = query.to_s ?? Math.max(record?.to_s ?? 0, query.from_s ?? 0);
  return inOrder(query.from_s ?? Math.min(record?.from_s ?? 0, to_s), to_s);
}

/** The day before the end where the query does not say otherwise. */
export function lastDay(query: SpanQuery, record: Span | null): Span {
  const to_s = query.to_s ?? Math.max(record?.to_s ?? 0, query.from_s ?? 0);
  return inOrder(query.from_s ?? to_s - day_s, to_s);
}

function inOrder(from_s: number, to_s: number): Span {
  if (from_s > to_s) throw new BadRequest(`to_s: expected at or after from_s (${from_s}), found ${to_s}`);
  return { from_s, to_s };
}

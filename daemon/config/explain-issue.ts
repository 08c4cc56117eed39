// What zod found, in the project's words: what is expected and what was found, in one line. Used for everything that
// comes in at the door; where it came in (file and line, topic, route) is added by the caller.

import type * as z from "zod";
import { closest } from "./closest.ts";

type RawIssue = z.core.$ZodRawIssue;

/** An error map: `safeParse(value, { error: explainIssue })`, then `eachProblem(error.issues)`. */
export function explainIssue(issue: RawIssue): string | undefined {
  switch (issue.code) {
    case "invalid_type":
      return `expected ${expectedType[issue.expected] ?? issue.expected}, found ${describeFound(issue.input)}`;
    case "invalid_value":
      return expectedOneOf(listed(issue.values), issue.input);
    case "invalid_union":
      return expectedOneOf(listed(issue.options), valueAt(issue.input, issue.discriminator));
    case "unrecognized_keys":
      return (issue.keys ?? []).map((key) => explainUnknownKey(key, knownKeys(issue.inst))).join("\n");
    case "too_small":
      return `expected ${bound(issue, issue.inclusive ? "at least" : "more than", issue.minimum)}`;
    case "too_big":
      return `expected ${bound(issue, issue.inclusive ? "at most" : "less than", issue.maximum)}`;
    case "invalid_format":
      return `expected ${expectedFormat[issue.format ?? ""] ?? `a text of another form (${issue.format})`}, found ${describeFound(issue.input)}`;
    default:
      return undefined;
  }
}

/** The issues of a parse with `explainIssue`, one for each key: several unknown keys of a group come as one. */
export function eachProblem(issues: readonly z.core.$ZodIssue[]): { path: PropertyKey[]; message: string }[] {
  return issues.flatMap((issue) => {
    if (issue.code !== "unrecognized_keys") return [{ path: issue.path, message: issue.message }];
    const messages = issue.message.split("\n");
    return issue.keys.map((key, index) => ({ path: [...issue.path, key], message: messages[index] ?? issue.message }));
  });
}

/** A value as it can stand in a message. */
export function describeFound(value: unknown): string {
  if (value === undefined || value === null) return "nothing";
  if (Array.isArray(value)) return `a list of ${value.length}`;
  if (typeof value === "object") return "a group of keys";
  if (typeof value !== "string") return String(value);
  return value.length > 60 ? `${JSON.stringify(value.slice(0, 60))}…` : JSON.stringify(value);
}

const expectedType: Readonly<Record<string, string>> = {
  string: "a text",
  number: "a number",
  int: "a whole number",
  boolean: "true or false",
  array: "a list",
  tuple: "a list",
  object: "a group of keys",
  record: "a group of keys",
  nonoptional: "a value",
};

const expectedFormat: Readonly<Record<string, string>> = {
  datetime: "a time in ISO 8601 with its offset, such as 2026-03-04T06:10:00Z",
  date: "a date, such as 2026-03-04",
  url: "an address (URL)",
};

function expectedOneOf(values: readonly unknown[], found: unknown): string {
  const names = values.map(String);
  const near = typeof found === "string" ? closest(found, names) : undefined;
  const hint = near === undefined ? "" : `; did you mean ${near}?`;
  return `expected ${names.length > 1 ? "one of " : ""}${names.join(", ")}, found ${describeFound(found)}${hint}`;
}

function listed(values: unknown): readonly unknown[] {
  return Array.isArray(values) ? values : [];
}

function explainUnknownKey(key: string, known: readonly string[]): string {
  const near = closest(key, known);
  if (near !== undefined) return `unknown key; did you mean ${near}?`;
  return known.length === 0 ? "unknown key" : `unknown key; expected one of ${known.join(", ")}`;
}

function knownKeys(inst: RawIssue["inst"]): string[] {
  const definition = inst?._zod.def;
  const shape = definition !== undefined && "shape" in definition ? definition.shape : undefined;
  if (typeof shape === "object" && shape !== null) return Object.keys(shape);
  // A record whose keys are one of several.
  const keys =
    definition !== undefined && "keyType" in definition ? (definition.keyType as z.core.$ZodType) : undefined;
  return Array.from(keys?._zod.values ?? [], String);
}

function bound(issue: RawIssue & { readonly origin?: string | undefined }, relation: string, limit: unknown): string {
  const { input, origin } = issue;
  if (Array.isArray(input))
    return `a list with ${relation} ${limit} ${limit === 1 ? "entry" : "entries"}, found ${input.length}`;
  if (input === "" && limit === 1) return 'a text that is not empty, found ""';
  if (origin === "string") return `${relation} ${limit} characters, found ${describeFound(input)}`;
  return `${relation} ${limit}, found ${describeFound(input)}`;
}

function valueAt(input: unknown, key: string | undefined): unknown {
  if (key === undefined || typeof input !== "object" || input === null) return input;
  return Object.entries(input).find(([name]) => name === key)?.[1];
}

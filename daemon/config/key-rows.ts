// Reads a schema as rows for a person: key, meaning, what it takes, default. For the reference of the site file.

import * as z from "zod";

export interface KeyRow {
  readonly key: string;
  readonly meaning: string;
  /** What it takes: `length`, `` `us`, `metric` ``, `whole number, 0 to 65535`. */
  readonly value: string;
  /** Its default, `required`, or `none`. */
  readonly fallback: string;
}

/** One row for each key at or below `key`; a group appears itself only when it is described. */
export function keyRows(schema: z.core.$ZodType, key: string): KeyRow[] {
  const { inner, fallback, meaning, quantity } = unwrap(schema);
  const plain = inner instanceof z.ZodLiteral ? "always this" : "";
  const own: KeyRow = { key, meaning: meaning || plain, value: quantity ?? valueText(inner), fallback };
  if (inner instanceof z.ZodObject) {
    const below = Object.entries(inner.shape).flatMap(([name, value]) => keyRows(value, join(key, name)));
    return meaning === "" || key === "" ? below : [own, ...below];
  }
  if (inner instanceof z.ZodDiscriminatedUnion) return mergeShapes(inner.options.map((option) => keyRows(option, key)));
  if (inner instanceof z.ZodArray) {
    const element = unwrap(inner.element).inner;
    if (element instanceof z.ZodObject) return keyRows(element, `${key}[]`);
  }
  return [own];
}

function join(key: string, name: string): string {
  return key === "" ? name : `${key}.${name}`;
}

interface Unwrapped {
  readonly inner: z.core.$ZodType;
  readonly fallback: string;
  readonly meaning: string;
  readonly quantity: string | undefined;
}

/** Takes off what says 'optional', 'by default' and 'built when it is asked for', and gathers what was said about the value on the way. */
function unwrap(schema: z.core.$ZodType, fallback = "required"): Unwrapped {
  const { description = "", quantity } = z.globalRegistry.get(schema) ?? {};
  const said = {
    meaning: description.replaceAll("|", "\\|"),
    quantity: quantity === undefined ? undefined : String(quantity),
  };
  const within = (next: z.core.$ZodType, nextFallback: string): Unwrapped => {
    const below = unwrap(next, nextFallback);
    return {
      ...below,
      meaning: said.meaning === "" ? below.meaning : said.meaning,
      quantity: said.quantity ?? below.quantity,
    };
  };
  if (schema instanceof z.ZodOptional) return within(schema.unwrap(), fallback === "required" ? "none" : fallback);
  if (schema instanceof z.ZodDefault || schema instanceof z.ZodPrefault) {
    return within(schema.unwrap(), written(schema.def.defaultValue));
  }
  if (schema instanceof z.ZodLazy) return within(schema.unwrap() as z.core.$ZodType, fallback);
  if (schema instanceof z.ZodPipe && said.quantity === undefined) return within(schema.in, fallback);
  return { inner: schema, fallback, ...said };
}

function written(value: unknown): string {
  const isEmpty = typeof value === "object" && value !== null && Object.keys(value).length === 0;
  return isEmpty ? "none" : `\`${typeof value === "string" ? value : JSON.stringify(value)}\``;
}

function valueText(schema: z.core.$ZodType): string {
  if (schema instanceof z.ZodEnum) return schema.options.map((option) => `\`${option}\``).join(", ");
  if (schema instanceof z.ZodLiteral) return [...schema.values].map((value) => `\`${value}\``).join(", ");
  if (schema instanceof z.ZodBoolean) return "`true`, `false`";
  if (schema instanceof z.ZodNumber) return numberRange(schema);
  if (schema instanceof z.ZodTuple) return `[${schema.def.items.map((item) => element(item)).join(", ")}]`;
  if (schema instanceof z.ZodArray) return `list of ${element(schema.element)}`;
  if (schema instanceof z.ZodObject) return "group";
  return "text";
}

function element(schema: z.core.$ZodType): string {
  const { inner, quantity } = unwrap(schema);
  return quantity ?? valueText(inner);
}

function numberRange(schema: z.ZodNumber): string {
  const name = schema.isInt ? "whole number" : "number";
  const from = limit(schema.minValue);
  const to = limit(schema.maxValue);
  if (from !== null && to !== null) return `${name}, ${from} to ${to}`;
  if (from !== null) return `${name}, ${from} or more`;
  return to === null ? name : `${name}, up to ${to}`;
}

function limit(value: number | null): number | null {
  return value === null || Math.abs(value) >= Number.MAX_SAFE_INTEGER ? null : value;
}

/** The rows of a group that has several shapes: each key once, with the shapes that have it when not all do. */
function mergeShapes(shapes: readonly (readonly KeyRow[])[]): KeyRow[] {
  const [first] = shapes[0] ?? [];
  const names = shapes.map((rows) => rows[0]?.value ?? "");
  const merged = new Map<string, KeyRow>();
  for (const { key } of shapes.flat()) {
    const having = shapes.map((rows) => rows.find((row) => row.key === key));
    const row = having.find((each) => each !== undefined);
    if (row === undefined || merged.has(key)) continue;
    const only = having.every((each) => each !== undefined)
      ? ""
      : `${names.filter((_, i) => having[i]).join(", ")} only: `;
    merged.set(key, { ...row, meaning: `${only}${row.meaning}` });
  }
  if (first !== undefined) merged.set(first.key, { ...first, value: names.join(", ") });
  return [...merged.values()];
}

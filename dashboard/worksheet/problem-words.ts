// What cannot be on the sheet, in sentences that name both figures.

import { computed } from "@preact/signals";
import { units } from "../preferences.ts";
import { entryText, unitWord } from "./entry.ts";
import { type Field, type FieldKey, fields } from "./fields.ts";
import type { Problem } from "./site-of-sheet.ts";
import { sheet, tried } from "./state.ts";

export const problems = computed<readonly string[]>(() => (tried.value?.problems ?? []).map(problemWords));

function problemWords(problem: Problem): string {
  if (problem.kind === "curve") return problem.words;
  if (problem.kind === "no-room") {
    return `The pump and its pipes (${figureOf("occupied")}) leave the water no room in the basin.`;
  }
  const { lower, upper } = problem;
  return `${fields[upper].label}, ${figureOf(upper)}, must stand above ${fields[lower].label.toLowerCase()}, ${figureOf(lower)}.`;
}

function figureOf(key: FieldKey): string {
  const field: Field = fields[key];
  return `${entryText(sheet.value?.numbers[key] ?? null, field, units.value)} ${unitWord(field, units.value)}`;
}

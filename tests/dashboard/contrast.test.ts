import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";

const css = readFileSync(new URL("../../dashboard/styles/tokens.css", import.meta.url), "utf8");

/** The light and the dark value of each token. */
const tokens = new Map(
  [...css.matchAll(/--([a-z-]+): light-dark\((#[0-9a-f]{6}), (#[0-9a-f]{6})\)/g)].map(
    ([, name = "", light = "", dark = ""]) => [name, { light, dark }],
  ),
);

/** WCAG 2.2, definitions of relative luminance and contrast ratio. */
function luminance(colour: string): number {
  const [r = 0, g = 0, b = 0] = [1, 3, 5].map((at) => {
    const share = Number.parseInt(colour.slice(at, at + 2), 16) / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

function contrast(a: string, b: string): number {
  const [low = 0, high = 0] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (high + 0.05) / (low + 0.05);
}

const texts: readonly (readonly [string, string])[] = [
  ...["ink", "quiet", "water", "watch", "act", "pump"].map((text) => [text, "paper"] as const),
  ...["ink", "quiet", "water", "act", "pump"].map((text) => [text, "raised"] as const),
  ...["ink", "quiet", "water", "act"].map((text) => [text, "earth"] as const),
  ...["calm", "watch", "act", "unknown"].flatMap((tone) => [
    ["ink", `${tone}-wash`] as const,
    ["quiet", `${tone}-wash`] as const,
  ]),
  ["watch", "watch-wash"],
  ["act", "calm-wash"],
  ["act", "unknown-wash"],
  ["on-strong", "act"],
  ["ink", "water-deep"],
  ["paper", "stone"],
  ["paper", "pump"],
];

const shapes: readonly (readonly [string, string])[] = [
  ["edge", "raised"],
  ["edge", "paper"],
  ["focus", "paper"],
  ["calm", "calm-wash"],
  ["act", "act-wash"],
  ["unknown", "unknown-wash"],
  ["on-strong", "calm"],
  ["on-strong", "watch"],
  ["stone", "earth"],
  ["stone", "raised"],
  ["water", "raised"],
  ["inflow", "paper"],
];

describe.each(["light", "dark"] as const)("colours, %s", (scheme) => {
  const ratio = ([above, below]: readonly [string, string]) => {
    const [a, b] = [tokens.get(above)?.[scheme], tokens.get(below)?.[scheme]];
    if (!a || !b) throw new Error(`no token --${a ? below : above}`);
    return contrast(a, b);
  };

  it.each(texts)("text --%s on --%s has 4.5 : 1 (WCAG 1.4.3)", (...pair) => {
    expect(ratio(pair)).toBeGreaterThanOrEqual(4.5);
  });

  it.each(shapes)("shape --%s on --%s has 3 : 1 (WCAG 1.4.11)", (...pair) => {
    expect(ratio(pair)).toBeGreaterThanOrEqual(3);
  });
});

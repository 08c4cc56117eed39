// The pages that explain the findings, analysis/findings/<kind>.md, and the figures of the alarms, each fetched when it is
// first opened.

import type { FindingKind } from "../analysis/findings/finding.ts";
import { plainMarkdown, type Section } from "./plain-markdown.ts";

const pages: Readonly<Record<FindingKind, () => Promise<{ default: string }>>> = {
  "high-water": () => import("../analysis/findings/high-water.md?raw"),
  "inflow-exceeds-pump": () => import("../analysis/findings/inflow-exceeds-pump.md?raw"),
  undersized: () => import("../analysis/findings/undersized.md?raw"),
  "short-cycling": () => import("../analysis/findings/short-cycling.md?raw"),
  "float-stuck-off": () => import("../analysis/findings/float-stuck-off.md?raw"),
  "float-stuck-on": () => import("../analysis/findings/float-stuck-on.md?raw"),
  "check-valve-leak": () => import("../analysis/findings/check-valve-leak.md?raw"),
  "discharge-blocked": () => import("../analysis/findings/discharge-blocked.md?raw"),
  "pump-worn": () => import("../analysis/findings/pump-worn.md?raw"),
  "power-lost": () => import("../analysis/findings/power-lost.md?raw"),
  "sensor-fault": () => import("../analysis/findings/sensor-fault.md?raw"),
};

/** Without its title: the finding has one. Rejects when the page cannot be reached. */
export async function explanation(kind: FindingKind): Promise<readonly Section[]> {
  const { default: text } = await pages[kind]();
  return plainMarkdown(text);
}

/** A section for each figure. Rejects when the page cannot be reached. */
export async function alarmFiguresExplained(): Promise<readonly Section[]> {
  const { default: text } = await import("../analysis/alarms/performance.md?raw");
  return plainMarkdown(text);
}

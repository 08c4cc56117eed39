// What the pump moves has gone down over many cycles: worn or clogged by and by.

import { hasLost, stillLost } from "../inflow/pump-history.ts";
import type { Rule } from "./rule.ts";

const clearlyLess = 0.08;
const stillLess = 0.05;

export const pumpWorn: Rule = {
  kind: "pump-worn",
  severity: "warning",
  onDelay_s: 0,
  offDelay_s: 0,
  holds: ({ slowChange }, open) =>
    slowChange === null ? null : open ? stillLost(slowChange, stillLess) : hasLost(slowChange, clearlyLess),
  evidence: ({ slowChange }) => ({
    pump_rate_before_m3s: slowChange?.before.flow_m3s ?? null,
    pump_rate_now_m3s: slowChange?.now.flow_m3s ?? null,
  }),
  worsen: (evidence, { slowChange }) =>
    slowChange !== null && slowChange.now.flow_m3s < 0.98 * Number(evidence.pump_rate_now_m3s)
      ? { ...evidence, pump_rate_now_m3s: slowChange.now.flow_m3s }
      : null,
  message: () =>
    "The pump moves less than in its best days. Clean the intake and the pit at the next service and measure again with a bucket; if it does not recover, plan a new pump before the wet season.",
};

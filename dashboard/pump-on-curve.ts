// How the measured flow of the pump stands against its published curve, in a few words. Pure.

import type { ReportPumpCurve } from "../analysis/report/report.ts";

/** `15 % less than its curve`; null where it is as the curve says, or not known well enough. */
export function onCurveWords(pump: ReportPumpCurve | null): string | null {
  if (pump === null || pump.verdict === "not-enough-data" || pump.verdict === "as-published") return null;
  const middle = pump.curve.length >> 1;
  const measured = pump.curve[middle]?.lpm;
  const expected = pump.expected[middle]?.lpm;
  if (measured === undefined || expected === undefined || !(expected > 0)) return null;
  const percent = Math.round(100 * Math.abs(measured / expected - 1));
  return `${percent} % ${pump.verdict === "less-than-published" ? "less" : "more"} than its curve`;
}

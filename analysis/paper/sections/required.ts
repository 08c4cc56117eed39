// How much must be pumped, which of the two rules asks for it, and why.

import type { SizingFlowRange } from "../../sizing/answer/figures.ts";
import type { Html } from "../html.ts";
import { html } from "../html.ts";
import { rainSpread } from "../rain-words.ts";
import type { ReportInput } from "../report-input.ts";
import type { PaperWords } from "../words.ts";
import { figures, paragraph, section, stepsTable } from "./steps.ts";

export function requiredSection({ answer }: ReportInput, words: PaperWords): Html | null {
  const { required } = answer;
  if (required === null) return null;
  const { allowance, design_storm: storm } = required;
  return section(
    "How much must be pumped",
    html`<p class="ask">Required: <b>${words.flow(required.flow)}</b>${required.governs === "design-storm" && storm !== null && ` (${range(storm.inflow, words)} in 95 of 100 cases)`}${required.governs === "allowance" && words.flow(required.flow).includes("±") && html` <small>the ± is of the measured peak, not of storms unseen</small>`}</p>`,
    paragraph(required.why),
    allowance === null || storm === null
      ? null
      : figures([
          [
            `measured peak × ${allowance.factor}${required.governs === "allowance" ? " (governs)" : ""}`,
            words.flow(allowance.flow),
          ],
          [
            `design storm, ${words.rain(storm.depth_mm)} in ${words.duration(storm.duration_s)}, ${rainSpread(storm.distribution)}${required.governs === "design-storm" ? " (governs)" : ""}`,
            `${words.lpm(storm.inflow.lpm)} (${range(storm.inflow, words)})`,
          ],
        ]),
    stepsTable(required.steps),
  );
}

function range({ low_lpm, high_lpm }: SizingFlowRange, words: PaperWords): string {
  return `${words.lpm(low_lpm)} to ${words.lpm(high_lpm)}`;
}

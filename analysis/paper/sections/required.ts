// How much must be pumped, which of the two rules asks for it, and why.

import type { Html } from "../html.ts";
import { html } from "../html.ts";
import type { ReportInput } from "../report-input.ts";
import type { PaperWords } from "../words.ts";
import { figures, paragraph, section, stepsTable } from "./steps.ts";

export function requiredSection({ answer }: ReportInput, words: PaperWords): Html | null {
  const { required } = answer;
  if (required === null) return null;
  const { allowance, design_storm: storm } = required;
  return section(
    "How much must be pumped",
    html`<p class="ask">Required: <b>${words.flow(required.flow)}</b></p>`,
    paragraph(required.why),
    allowance === null || storm === null
      ? null
      : figures([
          [
            `measured peak × ${allowance.factor}${required.governs === "allowance" ? " (governs)" : ""}`,
            words.flow(allowance.flow),
          ],
          [
            `design storm, ${words.rain(storm.depth_mm)} in ${words.duration(storm.duration_s)}, ${storm.distribution}${required.governs === "design-storm" ? " (governs)" : ""}`,
            `${words.lpm(storm.inflow.lpm)} (${words.lpm(storm.inflow.low_lpm)} to ${words.lpm(storm.inflow.high_lpm)})`,
          ],
        ]),
    stepsTable(required.steps),
  );
}

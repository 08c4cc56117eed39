// The sizing report for the customer's file: every figure with the sum that it comes from. HTML, for print in the browser
// and for the PDF alike; the style sheet is sizing-report.css.

import { type Html, html } from "./html.ts";
import type { ReportInput } from "./report-input.ts";
import { floatsSection, freeboardSection } from "./sections/basin.ts";
import { headSection } from "./sections/head.ts";
import { measuredSection } from "./sections/measured.ts";
import { adviceSection, closing, heading, verdictBox } from "./sections/notes.ts";
import { askForSection, pumpSection } from "./sections/pump.ts";
import { requiredSection } from "./sections/required.ts";
import { paperWords } from "./words.ts";

export function sizingReport(input: ReportInput): Html {
  const words = paperWords(input.answer.site.display_units);
  return html`<article class="paper">
${heading(input)}
${verdictBox(input)}
${measuredSection(input, words)}
${requiredSection(input, words)}
${headSection(input, words)}
${pumpSection(input, words)}
${askForSection(input, words)}
${floatsSection(input, words)}
${freeboardSection(input, words)}
${adviceSection(input)}
${closing(input)}
</article>`;
}

/**
 * The report as a document that needs nothing from elsewhere; letter paper for US units, A4 for metric.
 *
 * @param css   the style sheet's text
 * @param dense in smaller letters, for a report that else runs onto a fourth page
 */
export function reportDocument(input: ReportInput, css: string, dense = false): string {
  const { name, display_units } = input.answer.site;
  const page = `@page { size: ${display_units === "us" ? "letter" : "A4"}; }`;
  const style = `${css}\n${page}`.replaceAll("</", "<\\/");
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>${html`Sizing report, ${name}`}</title><style>${style}</style></head>
<body${dense ? ' class="dense"' : ""}>${sizingReport(input)}</body></html>
`;
}

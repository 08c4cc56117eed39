// Sums that a person can do again with a pencil, and other pieces that many parts of the report are made of.

import type { HandStep } from "../../sizing/answer/figures.ts";
import { type Html, html } from "../html.ts";

export function section(title: string, ...content: readonly (Html | null | false)[]): Html | null {
  const there = content.filter((part) => part !== null && part !== false && part.text !== "");
  return there.length === 0 ? null : html`<section><h2>${title}</h2>${content}</section>`;
}

/** Sums, one a line: what is worked out, from what, where that comes from, and what comes out. */
export function stepsTable(steps: readonly HandStep[]): Html | null {
  if (steps.length === 0) return null;
  return html`<table class="sums"><thead class="paper-head"><tr><th scope="col">What</th><th scope="col">Sum</th><th scope="col">Comes to</th></tr></thead>
<tbody>${steps.map(({ what, sum, result, source }) => html`<tr><th scope="row">${what}</th><td>${sum}${source !== null && html` <small>${source}</small>`}</td><td class="figure">= ${result}</td></tr>`)}</tbody></table>`;
}

/** Name beside figure. */
export function figures(rows: readonly (readonly [name: string, figure: Html | string] | null)[]): Html | null {
  const known = rows.filter((row) => row !== null);
  if (known.length === 0) return null;
  return html`<table class="facts"><tbody>${known.map(([name, figure]) => html`<tr><th scope="row">${name}</th><td class="figure">${figure}</td></tr>`)}</tbody></table>`;
}

export function list(lines: readonly (Html | string)[]): Html | null {
  return lines.length === 0 ? null : html`<ul>${lines.map((line) => html`<li>${line}</li>`)}</ul>`;
}

export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

export function paragraph(text: string | null | undefined): Html | null {
  return text ? html`<p>${text}</p>` : null;
}

// HTML and SVG as text, with everything that is put into it escaped. For paper, and for charts that page and paper share.

/** Markup that is already escaped. */
export class Html {
  readonly text: string;
  constructor(text: string) {
    this.text = text;
  }
  toString(): string {
    return this.text;
  }
}

type Part = Html | string | number | null | false | readonly Part[];

/**
 * A template whose holes are escaped, unless they are themselves `html`. A list is joined; null and false leave nothing.
 *
 * @example html`<p>${site.name}</p>`
 */
export function html(texts: TemplateStringsArray, ...holes: readonly Part[]): Html {
  return new Html(texts.map((text, i) => (i === 0 ? text : asText(holes[i - 1] ?? null) + text)).join(""));
}

function asText(part: Part): string {
  if (part === null || part === false) return "";
  if (part instanceof Html) return part.text;
  if (isList(part)) return part.map(asText).join("");
  return String(part).replaceAll(/[&<>"']/g, (sign) => entities[sign] ?? sign);
}

const isList = (part: Part): part is readonly Part[] => Array.isArray(part);

const entities: Readonly<Record<string, string>> = {
  "&": "&amp;",
  "<": "&lt;",
  ">": "&gt;",
  '"': "&quot;",
  "'": "&#39;",
};

// Bodies for receivers with a form of their own: a text with fields in braces, `{"message": {{text}}}`. In JSON a field
// comes with its quotes, in a form or in XML it is escaped, so that whatever stands in it stays one value.

import { closest } from "../../../config/closest.ts";
import type { OutgoingMessage } from "../channel.ts";

const fields = {
  key: ({ key }) => key,
  subject: ({ subject }) => subject,
  text: ({ text }) => text,
  body: ({ body }) => body,
  priority: ({ priority }) => priority,
  link: ({ link }) => link ?? "",
} satisfies Readonly<Record<string, (message: OutgoingMessage) => string>>;

type Field = keyof typeof fields;
const slot = /\{\{\s*([^{}]*?)\s*\}\}/g;

/** What is wrong with a template, as `expected …, found …`; null when it is right. */
export function templateProblem(template: string, contentType: string): string | null {
  for (const [, name = ""] of template.matchAll(slot)) {
    if (isField(name)) continue;
    const near = closest(name, Object.keys(fields));
    const hint = near === undefined ? "" : `; did you mean {{${near}}}?`;
    return `expected the fields ${Object.keys(fields).join(", ")}, found {{${name}}}${hint}`;
  }
  if (!/json/i.test(contentType)) return null;
  try {
    JSON.parse(template.replaceAll(slot, '""'));
    return null;
  } catch {
    return `expected JSON once the fields are filled in (a field brings its own quotes), found ${JSON.stringify(template.slice(0, 80))}`;
  }
}

export function fillTemplate(template: string, message: OutgoingMessage, contentType: string): string {
  const write = writerOf(contentType);
  return template.replaceAll(slot, (whole, name: string) => (isField(name) ? write(fields[name](message)) : whole));
}

function writerOf(contentType: string): (value: string) => string {
  if (/json/i.test(contentType)) return (value) => JSON.stringify(value);
  if (/x-www-form-urlencoded/i.test(contentType)) return encodeURIComponent;
  if (/xml|html/i.test(contentType))
    return (value) => value.replaceAll(/[&<>"']/g, (char) => `&#${char.charCodeAt(0)};`);
  return (value) => value;
}

function isField(name: string): name is Field {
  return Object.hasOwn(fields, name);
}

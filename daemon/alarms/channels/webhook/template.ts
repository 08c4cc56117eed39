// Bodies for receivers with a form of their own: a text with fields in braces, `{"message": {{text}}}`. In JSON a field
// comes with its quotes, so that whatever stands in it stays one value.

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
export function templateProblem(template: string): string | null {
  for (const [, name = ""] of template.matchAll(slot)) {
    if (isField(name)) continue;
    const near = closest(name, Object.keys(fields));
    const hint = near === undefined ? "" : `; did you mean {{${near}}}?`;
    return `expected the fields ${Object.keys(fields).join(", ")}, found {{${name}}}${hint}`;
  }
  return null;
}

export function fillTemplate(template: string, message: OutgoingMessage, contentType: string): string {
  const write = /json/i.test(contentType) ? JSON.stringify : (value: string) => value;
  return template.replaceAll(slot, (whole, name: string) => (isField(name) ? write(fields[name](message)) : whole));
}

function isField(name: string): name is Field {
  return Object.hasOwn(fields, name);
}

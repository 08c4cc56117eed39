// Whether an entry in sight was refused: what the sheet comes to is then as before it.

import { computed, signal } from "@preact/signals";

const refused = signal<ReadonlySet<string>>(new Set());

export const isRefused = computed(() => refused.value.size > 0);

/** @param field its id on the page */
export function markRefused(field: string, is: boolean): void {
  const now = refused.peek();
  if (now.has(field) === is) return;
  refused.value = new Set(is ? [...now, field] : [...now].filter((other) => other !== field));
}

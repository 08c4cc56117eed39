// Which view is shown: the address's hash, so that back, forward and bookmarks work.

import { signal } from "@preact/signals";

export const viewNames = ["now", "record", "cycles", "findings", "alarms", "sizing"] as const;
export type ViewName = (typeof viewNames)[number];

export const view = signal<ViewName>(viewOf(location.hash));

addEventListener("hashchange", () => {
  view.value = viewOf(location.hash);
  scrollTo(0, 0);
});

export function go(name: ViewName): void {
  location.hash = name;
}

function viewOf(hash: string): ViewName {
  return viewNames.find((name) => `#${name}` === hash) ?? "now";
}

// Which kinds of source a site file asks for, and what that makes of the whole: a real basin, or something played.

import type { SiteInfo } from "./server/api-types.ts";
import type { SourceKind } from "./sources/source.ts";

/** In the order of the site file's sources. */
export function kindsOfSources(
  sources: readonly { readonly kind: string }[],
  known: readonly SourceKind[],
): SourceKind[] {
  return sources.map(({ kind }, index) => {
    const found = known.find((candidate) => candidate.kind === kind);
    if (found !== undefined) return found;
    const names = known.map((candidate) => candidate.kind).join(", ");
    throw new Error(`sources[${index}].kind: expected one of ${names}, found ${JSON.stringify(kind)}`);
  });
}

/** What is played, with a time of its own; null for a real basin. */
export function playedKind(kinds: readonly SourceKind[]): SiteInfo["playing"] {
  if (kinds.some(({ kind }) => kind === "simulated")) return "simulated";
  return kinds.some(({ kind }) => kind === "replay") ? "replay" : null;
}

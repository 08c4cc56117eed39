// The `sources` list of the site file: each entry goes to the schema of its kind.

import type { SourceKind } from "../../sources/source.ts";
import { listOfKinds } from "../of-kinds.ts";

export function sourcesSchema(kinds: readonly SourceKind[]) {
  return listOfKinds(kinds, "source");
}

// The stores there are. Adding one touches its file, a line here and its test; the contract suite runs over this list.

import { openSqliteStore } from "./sqlite-store.ts";
import type { Store, StoreOptions } from "./store.ts";

export interface StoreKind {
  readonly kind: string;
  /** Opens the store at that path and makes it when it is not there. Throws a `StoreError` when it cannot be used. */
  open(path: string, options?: StoreOptions): Store;
}

export const storeKinds: readonly StoreKind[] = [{ kind: "sqlite", open: openSqliteStore }];

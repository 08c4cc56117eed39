// A store that cannot be used, in one sentence for a person: what it is, what was found, what to do. Faults that pass
// while the daemon runs (a full card, a lock) are no errors of this kind: the store holds and says so in `health()`.

export class StoreError extends Error {
  override readonly name = "StoreError";
}

// Why a program cannot start though its file holds: a file that it names cannot be read. For whoever runs it.

export class CannotStart extends Error {
  override readonly name = "CannotStart";
}

/** @param error of reading a file; its message names the key */
export function cannotStart(error: unknown): never {
  throw new CannotStart(error instanceof Error ? error.message : String(error), { cause: error });
}

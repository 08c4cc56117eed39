// Who looks after a service's record as root must not keep the service from it: what was made beside the record goes to
// whoever owns the folder.

import { lchownSync, lstatSync, readdirSync, type Stats } from "node:fs";
import { dirname, join, parse } from "node:path";

/**
 * Does nothing for another user than root, nor in root's own folder.
 * @param path of the record; its name without the ending begins the names of all that belongs to it
 */
export function handToOwner(path: string): void {
  if (process.getuid?.() !== 0) return;
  const folder = dirname(path);
  const owner = lstatSync(folder, { throwIfNoEntry: false });
  if (owner === undefined || owner.uid === 0) return;
  const names = readdirSync(folder).filter((name) => name.startsWith(`${parse(path).name}.`));
  for (const file of names.map((name) => join(folder, name))) {
    // The daemon may be at work beside: what it has taken away or renamed since needs no owner.
    const made = lstatSync(file, { throwIfNoEntry: false });
    if (made?.uid === 0 && made.isFile() && made.nlink === 1) lchownUnlessGone(file, owner);
  }
}

function lchownUnlessGone(file: string, { uid, gid }: Stats): void {
  try {
    lchownSync(file, uid, gid);
  } catch (error) {
    if (!(error instanceof Error && "code" in error && error.code === "ENOENT")) throw error;
  }
}

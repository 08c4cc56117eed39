// Who looks after a service's record as root must not keep the service from it: what was made beside the record goes to
// whoever owns the folder.

import { lchownSync, lstatSync, readdirSync } from "node:fs";
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
  for (const name of readdirSync(folder)) {
    const file = join(folder, name);
    const made = lstatSync(file);
    const isOurs = name.startsWith(`${parse(path).name}.`) && made.uid === 0 && made.isFile() && made.nlink === 1;
    if (isOurs) lchownSync(file, owner.uid, owner.gid);
  }
}

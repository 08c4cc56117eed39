import { chownSync, linkSync, lstatSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { handToOwner } from "../../../daemon/stores/hand-to-owner.ts";

const service = 65_534;

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-owner-"));
});
afterEach(() => rmSync(folder, { recursive: true }));

const made = (name: string) => {
  writeFileSync(join(folder, name), "");
  return name;
};
const ownerOf = (name: string) => lstatSync(join(folder, name)).uid;

describe.runIf(process.getuid?.() === 0)("what root makes beside a service's record", () => {
  it("goes to the folder's owner, with all that bears the record's name and nothing else", () => {
    for (const name of ["a.sqlite", "a.sqlite.recent", "a.alarms.sqlite", "other.sqlite"]) made(name);
    chownSync(folder, service, service);
    handToOwner(join(folder, "a.sqlite"));
    for (const name of ["a.sqlite", "a.sqlite.recent", "a.alarms.sqlite"]) expect(ownerOf(name)).toBe(service);
    expect(ownerOf("other.sqlite")).toBe(0);
  });

  it("stays root's where the folder is, and where a file has another name elsewhere", () => {
    made("a.sqlite");
    handToOwner(join(folder, "a.sqlite"));
    expect(ownerOf("a.sqlite")).toBe(0);
    chownSync(folder, service, service);
    linkSync(join(folder, "a.sqlite"), join(folder, "a.linked"));
    symlinkSync("/etc/hostname", join(folder, "a.pointer"));
    handToOwner(join(folder, "a.sqlite"));
    for (const name of ["a.linked", "a.pointer"]) expect(ownerOf(name)).toBe(0);
  });

  it("is nothing where there is no such folder", () => {
    expect(() => handToOwner(join(folder, "none/a.sqlite"))).not.toThrow();
  });
});

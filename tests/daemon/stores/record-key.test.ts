import { mkdirSync, mkdtempSync, realpathSync, rmSync, symlinkSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { recordKey } from "../../../daemon/stores/record-key.ts";

let folder: string;

beforeEach(() => {
  folder = realpathSync(mkdtempSync(join(tmpdir(), "undercroft-key-")));
});
afterEach(() => rmSync(folder, { recursive: true }));

describe("the key of a record", () => {
  it("is one by whatever way the file is named, be it there yet or not, and tells no path", () => {
    mkdirSync(join(folder, "private"));
    symlinkSync("private", join(folder, "public"));
    const key = recordKey(join(folder, "private/readings.sqlite"));
    expect(key).toMatch(/^[0-9a-f]{16}$/);
    expect(recordKey(join(folder, "public/../public/readings.sqlite"))).toBe(key);
    expect(recordKey(join(folder, "private/another.sqlite"))).not.toBe(key);
  });

  it("is the same for whoever may not look into what the folder is a link to", () => {
    // As good as one that is locked: where it leads cannot be followed.
    symlinkSync("private/site", join(folder, "public"));
    expect(recordKey(join(folder, "public/readings.sqlite"))).toBe(
      recordKey(join(folder, "private/site/readings.sqlite")),
    );
  });
});

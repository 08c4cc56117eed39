import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { writeJsonFile } from "../../../daemon/report/json-file.ts";

const folder = mkdtempSync(join(tmpdir(), "undercroft-json-"));
afterAll(() => rmSync(folder, { recursive: true }));

describe("a JSON file", () => {
  it("is there whole, in place of what was there", () => {
    const path = join(folder, "answer.json");
    writeJsonFile(path, { first: 1 });
    writeJsonFile(path, { second: null });
    expect(JSON.parse(readFileSync(path, "utf8"))).toEqual({ second: null });
    expect(readdirSync(folder)).toEqual(["answer.json"]);
  });

  it("says why it cannot be written, and leaves nothing behind", () => {
    mkdirSync(join(folder, "taken"));
    expect(() => writeJsonFile(join(folder, "taken"), {})).toThrow("found a folder");
    expect(() => writeJsonFile(join(folder, "none", "answer.json"), {})).toThrow("a folder that is not there");
    expect(readdirSync(folder).filter((name) => name.endsWith(".partial"))).toEqual([]);
  });
});

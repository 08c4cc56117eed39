import { execFileSync } from "node:child_process";
import { lstatSync, mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, it, onTestFinished } from "vitest";
import { writeWholeFile } from "../../../daemon/report/whole-file.ts";

it("does not take the place of a pipe or a device, which root could replace by a file", () => {
  const folder = mkdtempSync(join(tmpdir(), "undercroft-whole-"));
  onTestFinished(() => rmSync(folder, { recursive: true }));
  const pipe = join(folder, "pipe");
  execFileSync("mkfifo", [pipe]);
  expect(() => writeWholeFile(pipe, "{}")).toThrow(`found a device or a pipe: ${pipe}`);
  expect(lstatSync(pipe).isFIFO()).toBe(true);
  expect(readdirSync(folder)).toEqual(["pipe"]);
});

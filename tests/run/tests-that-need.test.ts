import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { testsThatNeed } from "./tests-that-need.ts";

const root = resolve(import.meta.dirname, "../..");

describe("testsThatNeed", () => {
  it("finds the tests that drive a real broker, and no unit test", () => {
    const files = testsThatNeed("mosquitto", root);
    expect(files).toContain("tests/real/mqtt-source.test.ts");
    expect(files.filter((file) => !file.startsWith("tests/real/"))).toEqual([]);
  });

  it("finds none for a program that no test names", () => {
    expect(testsThatNeed(["un", "heard", "of"].join("-"), root)).toEqual([]);
  });
});

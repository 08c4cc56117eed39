import { describe, expect, it } from "vitest";
import { ownerOf } from "../../../daemon/forward/name-claim.ts";

const claim = (board: string, replaces: string | null = null) => ({ board, replaces });

describe("ownerOf a name", () => {
  it("is nobody without a claim, and the first of several", () => {
    expect(ownerOf([])).toBeNull();
    expect(ownerOf([claim("a"), claim("b")])).toBe("a");
  });

  it("is who replaces the owner, and who replaces that one, also the first again", () => {
    expect(ownerOf([claim("a"), claim("b", "a")])).toBe("b");
    expect(ownerOf([claim("a"), claim("b", "a"), claim("c", "b")])).toBe("c");
    expect(ownerOf([claim("a"), claim("b", "a"), claim("a", "b")])).toBe("a");
  });

  it("is not who replaces one that is not the owner", () => {
    expect(ownerOf([claim("a"), claim("b"), claim("c", "b")])).toBe("a");
  });
});

import { mkdtempSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { attemptLimit } from "../../../daemon/central/access/attempt-limit.ts";
import { hashForm, hashPassword, isPassword, nobodysHash } from "../../../daemon/central/access/password.ts";
import { sessionLasts_s, sessions } from "../../../daemon/central/access/session.ts";
import { sessionKey } from "../../../daemon/central/access/session-key.ts";

describe("a password's hash", () => {
  it("is of that password and of no other, and another one each time", async () => {
    const [one, other] = await Promise.all([hashPassword("a dry cellar"), hashPassword("a dry cellar")]);
    expect(one).toMatch(hashForm);
    expect(one).not.toBe(other);
    expect(await isPassword("a dry cellar", one)).toBe(true);
    expect(await isPassword("a wet cellar", one)).toBe(false);
  });

  it("takes a letter written in two ways for the same", async () => {
    expect(await isPassword("cafe\u0301 in the cellar", await hashPassword("caf\u00e9 in the cellar"))).toBe(true);
  });

  // RFC 7914, section 12: scrypt (P="pleaseletmein", S="SodiumChloride", N=16384, r=8, p=1, dkLen=64).
  it("is scrypt as published", async () => {
    const key =
      "7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2d5432955613f0fcf62d49705242a9af9e61e85dc0d651e40dfcf017b45575887";
    const salt = Buffer.from("SodiumChloride").toString("base64url");
    const hash = `scrypt$14$8$1$${salt}$${Buffer.from(key, "hex").toString("base64url")}`;
    expect(await isPassword("pleaseletmein", hash)).toBe(true);
  });

  it("is of no password when nobody has it", async () => {
    expect(nobodysHash).toMatch(hashForm);
    expect(await isPassword("", nobodysHash)).toBe(false);
    expect(await isPassword("x", "plain text")).toBe(false);
  });
});

describe("the key of the sessions", () => {
  const folder = mkdtempSync(join(tmpdir(), "undercroft-key-"));
  afterAll(() => rmSync(folder, { recursive: true }));

  it("is made where it is missing, readable by its owner alone, and the same after a restart", () => {
    const file = join(folder, "made");
    const key = sessionKey(file);
    expect(key).toHaveLength(32);
    expect(statSync(file).mode & 0o777).toBe(0o600);
    expect(sessionKey(file).equals(key)).toBe(true);
  });

  it("is asked for in a sentence where the file cannot be read, cannot be made, or holds none", () => {
    writeFileSync(join(folder, "short"), "c2hvcnQ\n");
    expect(() => sessionKey(join(folder, "short"))).toThrow(/expected 32 bytes .* found 5$/);
    expect(() => sessionKey(folder)).toThrow(`server.session_key_file: cannot read ${folder}: EISDIR`);
    const nowhere = join(folder, "nowhere", "key");
    expect(() => sessionKey(nowhere)).toThrow(`server.session_key_file: cannot make ${nowhere}: ENOENT`);
  });
});

describe("a session's cookie", () => {
  const anna = { name: "anna", password: "hash of anna", customer: null };
  const lake = { name: "lake office", password: "hash of lake", customer: "lakeside" };
  const key = Buffer.alloc(32, 7);
  let now_s = 1_795_700_000;
  const signed = sessions([anna, lake], key, () => now_s);

  it("is of the one who logged in", () => {
    expect(signed.of(signed.start(anna))).toBe(anna);
    expect(signed.of(signed.start(lake))).toBe(lake);
  });

  it("is of nobody when a letter of it was changed, or another key signed it", () => {
    const cookie = signed.start(lake);
    for (let at = 0; at < cookie.length; at++) {
      const changed = cookie.slice(0, at) + (cookie[at] === "A" ? "B" : "A") + cookie.slice(at + 1);
      if (changed !== cookie) expect(signed.of(changed)).toBeNull();
    }
    expect(sessions([anna, lake], Buffer.alloc(32, 8), () => now_s).of(cookie)).toBeNull();
    expect(signed.of("")).toBeNull();
    expect(signed.of(undefined)).toBeNull();
  });

  it("ends after its time, and with the password or the customer that it was of", () => {
    const cookie = signed.start(lake);
    now_s += sessionLasts_s - 1;
    expect(signed.of(cookie)).toBe(lake);
    now_s += 2;
    expect(signed.of(cookie)).toBeNull();
    const fresh = signed.start(lake);
    expect(sessions([{ ...lake, password: "another" }], key, () => now_s).of(fresh)).toBeNull();
    expect(sessions([{ ...lake, customer: null }], key, () => now_s).of(fresh)).toBeNull();
    expect(sessions([anna], key, () => now_s).of(fresh)).toBeNull();
  });
});

describe("the limit of attempts", () => {
  it("lets a few slips pass, then makes one wait longer each time, up to a bound", () => {
    const limit = attemptLimit(900);
    let now_s = 0;
    for (let slip = 0; slip < 5; slip++) {
      expect(limit.wait_s("a", now_s)).toBe(0);
      limit.failed("a", now_s);
    }
    const waits = [];
    for (let n = 0; n < 12; n++) {
      const wait_s = limit.wait_s("a", now_s);
      waits.push(wait_s);
      now_s += wait_s;
      limit.failed("a", now_s);
    }
    expect(waits.slice(0, 4)).toEqual([2, 4, 8, 16]);
    expect(waits.at(-1)).toBe(900);
    expect(limit.wait_s("b", now_s)).toBe(0);
  });

  it("forgets after a success, and after an hour", () => {
    const limit = attemptLimit(900);
    for (let n = 0; n < 8; n++) limit.failed("a", 0);
    expect(limit.wait_s("a", 1)).toBeGreaterThan(0);
    expect(limit.wait_s("a", 4000)).toBe(0);
    limit.succeeded("a");
    expect(limit.wait_s("a", 1)).toBe(0);
  });

  it("remembers no more than a bound, however many try", () => {
    const limit = attemptLimit(900);
    for (let n = 0; n < 8; n++) limit.failed("first", 0);
    for (let n = 0; n < 20_000; n++) limit.failed(`address ${n}`, 0);
    expect(limit.wait_s("first", 1)).toBe(0);
  });
});

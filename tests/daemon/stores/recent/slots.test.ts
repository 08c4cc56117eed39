import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { openSlots } from "../../../../daemon/stores/recent/slots.ts";
import * as fc from "../../../at-random.ts";

const owner = "0123456789abcdef";
let folder: string;
let path: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-slots-"));
  path = join(folder, "recent");
});
afterEach(() => rmSync(folder, { recursive: true }));

const bodyOf = (n: number, length = 10) => new Uint8Array(length).fill(n);
const found = (name = owner) => openSlots(path, name).records.map(({ body }) => body[0]);

describe("a file of slots", () => {
  it("is not made before there is something to keep", () => {
    const { file, records } = openSlots(path, owner);
    expect(records).toEqual([]);
    file.close();
    expect(() => statSync(path)).toThrow("ENOENT");
  });

  it("gives back what was put, in order, from where it last started anew", () => {
    const { file } = openSlots(path, owner);
    for (const n of [1, 2, 3]) file.put(bodyOf(n), false);
    expect(found()).toEqual([1, 2, 3]);
    file.put(bodyOf(4, 9000), true);
    file.put(bodyOf(5), false);
    expect(found()).toEqual([4, 5]);
    file.forget();
    file.put(bodyOf(6), false);
    expect(found()).toEqual([6]);
    file.close();
  });

  it("numbers on from what its store has had, also where it was lost itself", () => {
    const { file } = openSlots(path, owner, 41);
    expect(file.put(bodyOf(1), false)).toBe(42);
    file.close();
    expect(openSlots(path, owner, 12).file.sequence()).toBe(42);
  });

  it("never grows, and never writes over what is needed, for any records, and carries on after a restart", () => {
    const put = fc.record({ length: fc.integer({ min: 1, max: 40_000 }), restart: fc.boolean() });
    fc.assert(
      fc.property(fc.array(put, { minLength: 1, maxLength: 60 }), (puts) => {
        rmSync(path, { force: true });
        let { file } = openSlots(path, owner);
        let needed: number[] = [];
        for (const [n, { length, restart }] of puts.entries()) {
          if (restart) {
            file.close();
            ({ file } = openSlots(path, owner));
          }
          const startsAnew = file.isNearlyFull();
          expect(file.hasRoom(length)).toBe(true);
          file.put(bodyOf(n, length), startsAnew);
          needed = startsAnew ? [n] : [...needed, n];
          expect(found()).toEqual(needed);
        }
        file.close();
        expect(statSync(path).size).toBe(256 * 4096);
      }),
      { numRuns: 15 },
    );
  });

  it("leaves out the record that the power tore, and keeps those before it", () => {
    const { file } = openSlots(path, owner);
    for (const n of [1, 2, 3]) file.put(bodyOf(n), false);
    file.close();
    const bytes = readFileSync(path);
    writeFileSync(path, bytes.fill(0xff, 2 * 4096 + 35, 2 * 4096 + 37));
    expect(found()).toEqual([1, 2]);
  });

  it("counts for nothing in another store's place", () => {
    const { file } = openSlots(path, owner);
    file.put(bodyOf(1), false);
    file.close();
    expect(found("fedcba9876543210")).toEqual([]);
  });

  it("has no room for what is longer than a dozen slots", () => {
    const { file } = openSlots(path, owner);
    expect(file.hasRoom(12 * 4096)).toBe(false);
    expect(() => file.put(bodyOf(1, 12 * 4096), false)).toThrow("no room");
  });
});

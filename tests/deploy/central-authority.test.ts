import { X509Certificate } from "node:crypto";
import { mkdtempSync, readFileSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { keepAuthority, keepCertificate } from "../../deploy/central/authority.ts";

const names = ["monitor.example.org", "192.0.2.7", "localhost", "127.0.0.1", "::1"];
const wanted = { service: "broker", names, reader: "nobody-of-this-name" };
const day_ms = 86_400_000;
const inDays = (days: number) => new Date(Date.now() + days * day_ms);

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-authority-"));
  keepAuthority(folder);
  keepCertificate(folder, wanted);
});
afterAll(() => rmSync(folder, { recursive: true }));

const text = (file: string) => readFileSync(join(folder, file), "utf8");
const certificate = (file: string) => new X509Certificate(text(file));

describe("the authority", () => {
  it("may sign certificates and is made once", () => {
    const before = [text("ca.pem"), text("ca.key")];
    keepAuthority(folder);
    expect([text("ca.pem"), text("ca.key")]).toEqual(before);
    expect(certificate("ca.pem").ca).toBe(true);
    expect(statSync(join(folder, "ca.key")).mode & 0o777).toBe(0o600);
  });

  it("is not made anew while half of it is there: boards would trust another", () => {
    const half = mkdtempSync(join(tmpdir(), "undercroft-authority-"));
    keepAuthority(half);
    rmSync(join(half, "ca.key"));
    expect(() => keepAuthority(half)).toThrow("bring it back from a backup");
    rmSync(half, { recursive: true });
  });
});

describe("a certificate", () => {
  it("is for each of the machine's names, of the authority, and no authority itself", () => {
    const made = certificate("broker.pem");
    for (const name of ["monitor.example.org", "localhost"]) expect(made.checkHost(name)).toBe(name);
    for (const address of ["192.0.2.7", "127.0.0.1", "::1"]) expect(made.checkIP(address)).toBe(address);
    expect(made.checkHost("elsewhere.example.org")).toBeUndefined();
    expect(made.verify(certificate("ca.pem").publicKey)).toBe(true);
    expect(made.ca).toBe(false);
  });

  it("belongs to its key, which others may not read", () => {
    expect(statSync(join(folder, "broker.key")).mode & 0o777).toBe(0o640);
    expect(text("broker.key")).toContain("PRIVATE KEY");
  });

  it("is kept while it is good for 90 days and its names are the same, in any order", () => {
    const before = text("broker.pem");
    expect(keepCertificate(folder, { ...wanted, names: names.toReversed() }, inDays(700))).toBe(false);
    expect(text("broker.pem")).toBe(before);
  });

  it("is made anew when it lapses within 90 days, when its names change and when the authority is another", () => {
    expect(keepCertificate(folder, wanted, inDays(735))).toBe(true);
    expect(keepCertificate(folder, { ...wanted, names: [...names, "new.example.org"] })).toBe(true);
    expect(keepCertificate(folder, { ...wanted, names: [...names, "new.example.org"] })).toBe(false);
    rmSync(join(folder, "ca.pem"));
    rmSync(join(folder, "ca.key"));
    keepAuthority(folder);
    expect(keepCertificate(folder, { ...wanted, names: [...names, "new.example.org"] })).toBe(true);
  });
});

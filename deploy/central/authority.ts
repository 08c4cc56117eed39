// The machine's own certificate authority and the certificates that it signs, made by openssl. Boards are given the
// authority's certificate and trust nobody else.

import { execFileSync } from "node:child_process";
import { X509Certificate } from "node:crypto";
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { isIP } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { keepFile } from "./keep-file.ts";
import { Mistake } from "./mistake.ts";

const authorityLasts_d = 7300;
/** Browsers take no certificate of more than 825 days, not even from an authority of one's own. */
const certificateLasts_d = 820;
/** A certificate with less than this left is made anew. */
const renewBefore_d = 90;
const day_ms = 86_400_000;
const newKey = ["-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-noenc"];

export interface Wanted {
  /** Becomes `<service>.pem` and `<service>.key`. */
  readonly service: string;
  readonly names: readonly string[];
  /** The account of the system that reads the key. */
  readonly reader: string;
}

/** Makes the authority once. A key without its certificate, or the other way round, is for a person to look at. */
export function keepAuthority(folder: string): void {
  const certificate = join(folder, "ca.pem");
  const key = join(folder, "ca.key");
  if (existsSync(certificate) && existsSync(key)) return;
  for (const [there, missing] of [
    [certificate, key],
    [key, certificate],
  ] as const) {
    if (existsSync(there)) throw new Mistake(`${there} is there and ${missing} is not; bring it back from a backup`);
  }
  inScratchFolder((scratch) => {
    const usage = ["basicConstraints=critical,CA:TRUE,pathlen:0", "keyUsage=critical,keyCertSign,cRLSign"];
    const extensions = usage.flatMap((extension) => ["-addext", extension]);
    const subject = `/CN=Undercroft authority ${new Date().getUTCFullYear()}`;
    const files = ["-keyout", join(scratch, "ca.key"), "-out", join(scratch, "ca.pem")];
    openssl("req", "-x509", ...newKey, ...files, "-days", `${authorityLasts_d}`, "-subj", subject, ...extensions);
    keepFile(key, readFileSync(join(scratch, "ca.key")), { mode: 0o600 });
    keepFile(certificate, readFileSync(join(scratch, "ca.pem")), { mode: 0o644 });
  });
}

/**
 * Makes a certificate where there is none, or it lapses soon, bears other names or is of another authority.
 *
 * @returns whether it made one
 */
export function keepCertificate(folder: string, wanted: Wanted, now = new Date(), anyway = false): boolean {
  const key = join(folder, `${wanted.service}.key`);
  const certificate = join(folder, `${wanted.service}.pem`);
  if (!anyway && existsSync(key) && isGood(certificate, join(folder, "ca.pem"), wanted.names, now)) return false;
  inScratchFolder((scratch) => {
    const at = (file: string) => join(scratch, file);
    const names = wanted.names.map((name) => `${isIP(name) === 0 ? "DNS" : "IP"}:${name}`).join(",");
    const usage = "keyUsage=critical,digitalSignature\nextendedKeyUsage=serverAuth\nbasicConstraints=critical,CA:FALSE";
    writeFileSync(at("extensions"), `subjectAltName=${names}\n${usage}\n`);
    openssl("req", "-new", ...newKey, "-keyout", at("key"), "-out", at("request"), "-subj", `/CN=${wanted.service}`);
    const signer = ["-CA", join(folder, "ca.pem"), "-CAkey", join(folder, "ca.key")];
    const serial = `0x${randomSerial()}`;
    const made = ["-in", at("request"), "-out", at("pem"), "-extfile", at("extensions"), "-set_serial", serial];
    openssl("x509", "-req", ...made, ...signer, "-days", `${certificateLasts_d}`);
    keepFile(key, readFileSync(at("key")), { mode: 0o640, reader: wanted.reader });
    keepFile(certificate, readFileSync(at("pem")), { mode: 0o644 });
  });
  return true;
}

function isGood(path: string, authority: string, names: readonly string[], now: Date): boolean {
  if (!existsSync(path)) return false;
  const certificate = new X509Certificate(readFileSync(path));
  const isOurs = certificate.verify(new X509Certificate(readFileSync(authority)).publicKey);
  const lasts_d = (certificate.validToDate.getTime() - now.getTime()) / day_ms;
  return isOurs && lasts_d >= renewBefore_d && namesOf(certificate).join() === [...new Set(names)].sort().join();
}

/** In order; addresses as Node writes them. */
function namesOf({ subjectAltName = "" }: X509Certificate): string[] {
  const names = subjectAltName.split(", ").map((entry) => entry.replace(/^(DNS|IP Address):/, ""));
  return names.map((name) => (isIP(name) === 6 ? new URL(`http://[${name}]`).hostname.slice(1, -1) : name)).sort();
}

function randomSerial(): string {
  return Buffer.from(crypto.getRandomValues(new Uint8Array(16))).toString("hex");
}

function inScratchFolder(work: (folder: string) => void): void {
  const folder = mkdtempSync(join(tmpdir(), "undercroft-central-"));
  try {
    work(folder);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function openssl(...args: string[]): void {
  try {
    execFileSync("openssl", args, { stdio: ["ignore", "ignore", "pipe"] });
  } catch (cause) {
    throw new Mistake(`openssl ${args[0]}: ${cause instanceof Error ? cause.message.trim() : cause}`, { cause });
  }
}

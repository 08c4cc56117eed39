// Passwords as hashes that are slow to guess (scrypt, RFC 7914), and whether a password is the one of a hash.

import { randomBytes, scrypt, timingSafeEqual } from "node:crypto";

/** `scrypt$15$8$1$<salt>$<key>`: log₂ N, r, p, then salt and key in base64url. */
export const hashForm = /^scrypt\$(1[4-7])\$8\$([1-4])\$([\w-]{16,})\$([\w-]{43,})$/;

// 32 MB and some 60 ms of a desktop's time for each guess: RFC 7914's r, and an N that a busy server can still bear.
const usual = { logN: 15, r: 8, p: 1 };
const salt_bytes = 16;
const key_bytes = 32;

export async function hashPassword(password: string): Promise<string> {
  const salt = randomBytes(salt_bytes);
  const { logN, r, p } = usual;
  const key = await derive(password, salt, usual);
  return ["scrypt", logN, r, p, salt.toString("base64url"), key.toString("base64url")].join("$");
}

/** @param hash in `hashForm`; of any other no password is the one */
export async function isPassword(password: string, hash: string): Promise<boolean> {
  if (!hashForm.test(hash)) return false;
  const [, logN, r, p, salt = "", key = ""] = hash.split("$");
  const expected = Buffer.from(key, "base64url");
  const parts = { logN: Number(logN), r: Number(r), p: Number(p) };
  const found = await derive(password, Buffer.from(salt, "base64url"), parts, expected.length);
  return timingSafeEqual(found, expected);
}

/** Of a log-in that is not known: takes as long as a known one, and is of no password. */
export const nobodysHash = `scrypt$15$8$1$${"A".repeat(22)}$${"A".repeat(43)}`;

function derive(password: string, salt: Buffer, { logN, r, p }: typeof usual, length = key_bytes): Promise<Buffer> {
  // Two keyboards may write the same letter in two ways (RFC 8265 asks for NFC).
  const text = password.normalize("NFC");
  const options = { N: 2 ** logN, r, p, maxmem: 256 * 2 ** logN * r };
  return new Promise((resolve, reject) => {
    scrypt(text, salt, length, options, (error, key) => (error === null ? resolve(key) : reject(error)));
  });
}

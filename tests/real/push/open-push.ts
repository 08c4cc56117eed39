// What a browser does with a push message: opens it with its own key (RFC 8291, aes128gcm of RFC 8188). Written by the RFCs'
// text with node:crypto alone, so that it shares nothing with what encrypts.

import { createDecipheriv, createECDH, createHmac, hkdfSync } from "node:crypto";

export interface BrowserKeys {
  /** Base64url, as a subscription's `p256dh`. */
  readonly public: string;
  readonly private: string;
  /** Base64url, as a subscription's `auth`. */
  readonly auth: string;
}

/** @throws {Error} when the message is not for these keys, or was changed */
export function openPush(body: Buffer, keys: BrowserKeys): string {
  // RFC 8188, 2.1: salt, record size, length of the key, the sender's key; then one record.
  const salt = body.subarray(0, 16);
  const recordSize = body.readUInt32BE(16);
  const senderKey = body.subarray(21, 21 + body.readUInt8(20));
  const record = body.subarray(21 + senderKey.length);
  if (record.length > recordSize) throw new RangeError(`expected one record of ${recordSize}, found ${record.length}`);

  const ecdh = createECDH("prime256v1");
  ecdh.setPrivateKey(Buffer.from(keys.private, "base64url"));
  const shared = ecdh.computeSecret(senderKey);
  // RFC 8291, 3.4
  const prk = createHmac("sha256", Buffer.from(keys.auth, "base64url")).update(shared).digest();
  const info = Buffer.concat([Buffer.from("WebPush: info\0"), Buffer.from(keys.public, "base64url"), senderKey]);
  const material = createHmac("sha256", prk)
    .update(Buffer.concat([info, Buffer.from([1])]))
    .digest();
  // RFC 8188, 2.2 and 2.3
  const derive = (what: string, bytes: number) =>
    Buffer.from(hkdfSync("sha256", material, salt, `Content-Encoding: ${what}\0`, bytes));
  const decipher = createDecipheriv("aes-128-gcm", derive("aes128gcm", 16), derive("nonce", 12));
  decipher.setAuthTag(record.subarray(-16));
  const padded = Buffer.concat([decipher.update(record.subarray(0, -16)), decipher.final()]);
  const end = padded.lastIndexOf(2); // the last record's delimiter, then padding of zeros
  if (end === -1) throw new RangeError("expected the delimiter of the last record, found none");
  return padded.subarray(0, end).toString("utf8");
}

/** Of a browser that subscribes. */
export function browserKeys(): BrowserKeys {
  const ecdh = createECDH("prime256v1");
  ecdh.generateKeys();
  const secret = createECDH("prime256v1");
  secret.generateKeys();
  return {
    public: ecdh.getPublicKey("base64url", "uncompressed"),
    // One key in 256 begins with a zero, which is left out there.
    private: Buffer.concat([Buffer.alloc(32), ecdh.getPrivateKey()])
      .subarray(-32)
      .toString("base64url"),
    auth: secret.getPublicKey().subarray(1, 17).toString("base64url"),
  };
}

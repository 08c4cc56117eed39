// Who signed a push message, checked as a push service does (RFC 8292), with node:crypto alone.

import { createPublicKey, verify } from "node:crypto";

export interface Claims {
  readonly aud: string;
  readonly exp: number;
  readonly sub: string;
}

/**
 * @param authorization `vapid t=…, k=…`
 * @throws {Error} when it is none, or was not signed with the key that it names
 */
export function readVapid(authorization: string): { readonly claims: Claims; readonly key: string } {
  const [, token, key] = /^vapid t=([\w-]+\.[\w-]+\.[\w-]+), ?k=([\w-]+)$/.exec(authorization) ?? [];
  if (token === undefined || key === undefined) throw new Error(`expected vapid t=…, k=…, found ${authorization}`);
  const [header = "", payload = "", signature = ""] = token.split(".");
  const point = Buffer.from(key, "base64url");
  const publicKey = createPublicKey({
    format: "jwk",
    key: {
      ...{ kty: "EC", crv: "P-256" },
      x: point.subarray(1, 33).toString("base64url"),
      y: point.subarray(33).toString("base64url"),
    },
  });
  const { alg } = parsed(header) as { alg: string };
  const isSigned =
    alg === "ES256" &&
    verify(
      "sha256",
      Buffer.from(`${header}.${payload}`),
      { key: publicKey, dsaEncoding: "ieee-p1363" },
      Buffer.from(signature, "base64url"),
    );
  if (!isSigned) throw new Error("the signature is not by the key that is named");
  return { claims: parsed(payload) as Claims, key };
}

function parsed(part: string): unknown {
  return JSON.parse(Buffer.from(part, "base64url").toString("utf8"));
}

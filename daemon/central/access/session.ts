// Who is logged in: a cookie that says it, signed so that nobody else can have written it (HMAC, RFC 2104). Nothing is
// kept here of those who log in, so that it takes no memory; a changed password ends what was logged in with the old one.

import { createHmac, hash, timingSafeEqual } from "node:crypto";
import type { Login } from "../config/central-file.ts";

export interface Sessions {
  /** Content of the cookie. */
  start(login: Login): string;
  /** The login that a cookie is of; null when it is of none, or no longer. */
  of(cookie: string | undefined): Login | null;
  /** Until when it is; in the past where it is of nobody. */
  until_s(cookie: string | undefined): number;
}

/** As long as someone is on the road with it; then the password again. */
export const sessionLasts_s = 7 * 86_400;

export function sessions(logins: readonly Login[], key: Buffer, now_s: () => number): Sessions {
  const byName = new Map(logins.map((login) => [login.name, login]));
  const sign = (text: string) => createHmac("sha256", key).update(text).digest("base64url");

  return {
    start(login) {
      const until_s = Math.round(now_s() + sessionLasts_s);
      const text = [Buffer.from(login.name).toString("base64url"), until_s, markOf(login)].join(".");
      return `${text}.${sign(text)}`;
    },
    of: (cookie) => read(cookie)?.login ?? null,
    until_s: (cookie) => read(cookie)?.until_s ?? Number.NEGATIVE_INFINITY,
  };

  function read(cookie: string | undefined): { readonly login: Login; readonly until_s: number } | null {
    const parts = cookie?.split(".") ?? [];
    const [name = "", until = "", mark = "", signature = ""] = parts;
    if (parts.length !== 4 || !isSame(signature, sign([name, until, mark].join(".")))) return null;
    const login = byName.get(Buffer.from(name, "base64url").toString());
    const until_s = Number(until);
    return login !== undefined && until_s > now_s() && mark === markOf(login) ? { login, until_s } : null;
  }
}

/** Another one for each password, and for each customer that the login is of. */
function markOf({ password, customer }: Login): string {
  return hash("sha256", `${password} ${customer ?? ""}`, "base64url").slice(0, 16);
}

function isSame(found: string, expected: string): boolean {
  const [a, b] = [Buffer.from(found), Buffer.from(expected)];
  return a.length === b.length && timingSafeEqual(a, b);
}

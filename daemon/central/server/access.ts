// Who asks, and which basins that one may see. Every route of the central view asks here.

import type { FastifyRequest } from "fastify";
import { BadRequest } from "../../server/validate-request.ts";
import type { Sessions } from "../access/session.ts";
import type { CentralFile, Login } from "../config/central-file.ts";
import type { Seer } from "../overview.ts";

export interface Access {
  readonly centralFile: CentralFile;
  readonly sessions: Sessions;
  now_s(): number;
  login(request: FastifyRequest): Login | null;
  /** For how long that one still is; null: for ever, where nobody has to log in. */
  left_s(request: FastifyRequest): number | null;
  /** @throws {BadRequest} 401 when nobody is logged in */
  seer(request: FastifyRequest): Seer;
}

export const cookieName = "undercroft_session";

export function accessTo(centralFile: CentralFile, sessions: Sessions, now_s: () => number): Access {
  const login = (request: FastifyRequest) => sessions.of(cookieOf(request.headers.cookie));
  return {
    centralFile,
    sessions,
    now_s,
    login,
    left_s(request) {
      return centralFile.logins.length === 0 ? null : sessions.until_s(cookieOf(request.headers.cookie)) - now_s();
    },
    seer(request) {
      if (centralFile.logins.length === 0) return null; // only this machine gets here
      const its = login(request);
      if (its === null) throw new BadRequest("log-in: nobody is logged in; POST /api/session does it", 401);
      return its.customer;
    },
  };
}

/** Whose log-in lets them see to alarms and shelve them: of the basins that they may see. */
export function mayAnswer({ customer, answers = customer === null }: Login): boolean {
  return answers;
}

function cookieOf(header: string | undefined): string | undefined {
  for (const part of header?.split(";") ?? []) {
    const [name, value] = part.trim().split("=", 2);
    if (name === cookieName) return value;
  }
  return undefined;
}

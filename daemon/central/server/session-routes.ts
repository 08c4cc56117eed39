// GET, POST and DELETE /api/session: who is logged in, logging in, and out.

import * as z from "zod";
import type { Server } from "../../server/server-parts.ts";
import { BadRequest } from "../../server/validate-request.ts";
import { attemptLimit } from "../access/attempt-limit.ts";
import { isPassword, nobodysHash } from "../access/password.ts";
import { sessionLasts_s } from "../access/session.ts";
import type { SessionAnswer } from "../central-types.ts";
import type { Login } from "../config/central-file.ts";
import { type Access, cookieName, mayAnswer } from "./access.ts";

const logInBody = z.strictObject({
  name: z.string().min(1).max(100).describe("as in the central view's file"),
  password: z.string().min(1).max(500).describe("in clear; only ever over TLS, or on the machine itself"),
});

/** Whoever guesses waits long; whose name is guessed at by others, not. */
const longestWait_s = { address: 900, name: 20 };
/** Each guess costs memory and time. */
const mostAtOnce = 4;

export function addSessionRoutes(server: Server, access: Access): void {
  const { centralFile, now_s } = access;
  const logins = new Map(centralFile.logins.map((login) => [login.name, login]));
  const byAddress = attemptLimit(longestWait_s.address);
  const byName = attemptLimit(longestWait_s.name);
  let atOnce = 0;

  server.get("/api/session", async (request, reply): Promise<SessionAnswer> => {
    reply.header("cache-control", "no-store");
    return answer(access.login(request));
  });

  server.post("/api/session", { schema: { body: logInBody } }, async ({ body, ip }, reply): Promise<SessionAnswer> => {
    reply.header("cache-control", "no-store");
    const wait_s = Math.ceil(Math.max(byAddress.wait_s(ip, now_s()), byName.wait_s(body.name, now_s())));
    if (wait_s > 0) {
      reply.header("retry-after", wait_s);
      throw new BadRequest(`log-in: too many wrong passwords; try again in ${wait_s} s`, 429);
    }
    if (atOnce >= mostAtOnce) throw new BadRequest("log-in: too many at once; try again in a moment", 503);
    // Counted before it is looked at, so that many guesses at once are no way round.
    byAddress.failed(ip, now_s());
    byName.failed(body.name, now_s());
    const login = await checked(logins.get(body.name), body.password);
    if (login === null) throw new BadRequest("log-in: name or password is wrong", 401);
    byAddress.succeeded(ip);
    byName.succeeded(body.name);
    reply.header("set-cookie", cookie(access.sessions.start(login), sessionLasts_s));
    return answer(login);
  });

  server.delete("/api/session", async (_request, reply): Promise<SessionAnswer> => {
    reply.header("cache-control", "no-store").header("set-cookie", cookie("", 0));
    return answer(null);
  });

  async function checked(login: Login | undefined, password: string): Promise<Login | null> {
    atOnce++;
    try {
      return (await isPassword(password, login?.password ?? nobodysHash)) ? (login ?? null) : null;
    } finally {
      atOnce--;
    }
  }

  function cookie(content: string, lasts_s: number): string {
    const overTls = centralFile.server.tls !== null || centralFile.server.behindTlsProxy;
    return `${cookieName}=${content}; Path=/; HttpOnly; SameSite=Strict; Max-Age=${lasts_s}${overTls ? "; Secure" : ""}`;
  }

  function answer(login: Login | null): SessionAnswer {
    const customer = login?.customer ?? null;
    return {
      view: { name: centralFile.view.name },
      login: login && {
        name: login.name,
        customer: customer && (centralFile.customers.get(customer) ?? customer),
        answers: mayAnswer(login),
      },
      required: centralFile.logins.length > 0,
    };
  }
}

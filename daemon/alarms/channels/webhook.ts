// A message to a program of the user's by HTTP: JSON, signed, so that the receiver knows that it is ours. What stands in
// the body is described in README.md beside this.

import { createHmac } from "node:crypto";
import * as z from "zod";
import { at, evenIfIncomplete, report } from "../../config/cross-check.ts";
import { readSecret } from "../../config/named-file.ts";
import { defineChannel, type Outcome, type OutgoingMessage } from "./channel.ts";
import { explainNetworkError } from "./explain-network-error.ts";
import { fillTemplate, templateProblem } from "./webhook/template.ts";

const json = "application/json";

const config = z.lazy(() =>
  z
    .strictObject({
      kind: z.literal("webhook").describe("a request to a program of yours, by HTTP"),
      name: z.string().min(1).describe("what contacts and the page call it"),
      secret_file: z.string().min(1).optional().describe("file whose first line signs the body (HMAC-SHA256)"),
      token_file: z.string().min(1).optional().describe("file whose first line goes as `Authorization: Bearer`"),
      body: z
        .string()
        .min(1)
        .optional()
        .describe(
          "body with fields in braces such as `{{text}}`, for receivers with a form of their own; JSON by default",
        ),
      content_type: z.string().min(1).default(json).describe("of the body, and how fields are escaped in it"),
    })
    .superRefine((webhook, context) => {
      const [body, contentType] = [at(webhook, "body"), at(webhook, "content_type")];
      const problem =
        typeof body === "string" ? templateProblem(body, typeof contentType === "string" ? contentType : json) : null;
      if (problem !== null) report(context, ["body"], problem);
    }, evenIfIncomplete),
);

const answer_ms = 15_000;

export const webhook = defineChannel({
  kind: "webhook",
  config,
  comparesKeys: true,
  takesReplies: false,
  addressProblem(to) {
    const url = URL.canParse(to) ? new URL(to) : null;
    if (url?.protocol === "http:" || url?.protocol === "https:") return null;
    return `expected an address such as https://example.org/alarms, found ${JSON.stringify(to)}`;
  },
  open(config, context) {
    const secret =
      config.secret_file === undefined ? null : readSecret("secret_file", config.secret_file, context.baseFolder);
    const token =
      config.token_file === undefined ? null : readSecret("token_file", config.token_file, context.baseFolder);
    let problem: string | null = null;
    return {
      async send(message, signal) {
        const body =
          config.body === undefined
            ? JSON.stringify(bodyOf(message, context.now_s()))
            : fillTemplate(config.body, message, config.content_type);
        const time = String(Math.round(context.now_s()));
        const outcome = await post(message.to, body, signal, {
          "content-type": config.content_type,
          "idempotency-key": message.key,
          "user-agent": "undercroft",
          ...(secret !== null && {
            "x-undercroft-time": time,
            "x-undercroft-signature": `sha256=${createHmac("sha256", secret).update(`${time}.${body}`).digest("hex")}`,
          }),
          ...(token !== null && { authorization: `Bearer ${token}` }),
        });
        problem = outcome.is === "failed" ? outcome.reason : null;
        return outcome;
      },
      health: () => ({ problem, note: null }),
      close() {},
    };
  },
});

/** The documented body. */
function bodyOf({ key, priority, subject, text, body, link, maybeRepeated, data }: OutgoingMessage, time_s: number) {
  return {
    format: "undercroft-alarm/1",
    ...{ key, time: new Date(time_s * 1000).toISOString(), priority, subject, text, body, link },
    maybe_repeated: maybeRepeated,
    ...data,
  };
}

async function post(
  url: string,
  body: string,
  signal: AbortSignal,
  headers: Readonly<Record<string, string>>,
): Promise<Outcome> {
  const { host } = new URL(url);
  const failed = (reason: string, again: boolean): Outcome => ({ is: "failed", reason: `${host}: ${reason}`, again });
  try {
    const response = await fetch(url, {
      ...{ method: "POST", body, headers, redirect: "manual" },
      signal: AbortSignal.any([signal, AbortSignal.timeout(answer_ms)]),
    });
    if (response.ok) {
      await response.body?.cancel();
      return { is: "delivered" };
    }
    const said = (await response.text()).slice(0, 200);
    const { status } = response;
    if (status === 401 || status === 403) return failed(`refuses us (${status}); check the secret or the token`, false);
    if (status === 404 || status === 410) return failed(`has nothing at that address (${status}); check it`, false);
    if (status >= 300 && status < 400)
      return failed(`sends us elsewhere (${status}); give that address instead`, false);
    const again = status >= 500 || status === 408 || status === 425 || status === 429;
    return failed(`answers ${status}${said === "" ? "" : ` ${JSON.stringify(said)}`}`, again);
  } catch (error) {
    return failed(signal.aborted ? "given up before it answered" : explainNetworkError(error, answer_ms / 1000), true);
  }
}

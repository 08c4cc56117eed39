// E-mail through a server of the user's. Gateways of phone companies that turn mail into text messages take it, too: with
// `short: true` only the text goes out.

import { Socket } from "node:net";
import type { SendMailOptions } from "nodemailer";
import * as z from "zod";
import { at, evenIfIncomplete, has, report } from "../../config/cross-check.ts";
import { readNamedFile, readSecret } from "../../config/named-file.ts";
import { defineChannel, type Outcome, type OutgoingMessage } from "./channel.ts";
import { explainMailError } from "./email/explain-mail-error.ts";

const address = /^[^\s@<>"]+@[^\s@<>"]+\.[^\s@<>".]+$/;

const config = z.lazy(() =>
  z
    .strictObject({
      kind: z.literal("email").describe("mail through a server of yours"),
      name: z.string().min(1).describe("what contacts and the page call it"),
      host: z.string().min(1).describe("name of the mail server"),
      port: z.int().min(1).max(65_535).default(587).describe("587 with STARTTLS; 465 is encrypted from the start"),
      from: z
        .string()
        .regex(address, { error: ({ input }) => `expected an e-mail address, found ${JSON.stringify(input)}` })
        .describe("sender's address"),
      username: z.string().min(1).optional().describe("user name at the server"),
      password_file: z.string().min(1).optional().describe("file whose first line is the password"),
      ca: z
        .string()
        .min(1)
        .optional()
        .describe("file with the authority's certificate (PEM), where it is a private one"),
      encrypted: z
        .boolean()
        .default(true)
        .describe("`false` sends readable to all on the way: only to a server on this machine"),
      tls_at_once: z
        .boolean()
        .optional()
        .describe("encrypted from the first byte (RFC 8314) instead of by STARTTLS; by default on port 465 alone"),
      short: z
        .boolean()
        .default(false)
        .describe("only the short text, without a subject: for gateways to text messages"),
    })
    .superRefine((email, context) => {
      if (at(email, "encrypted") === false && (at(email, "tls_at_once") === true || at(email, "port") === 465))
        report(context, ["encrypted"], "expected true on port 465 and with tls_at_once, found false");
      if (has(email, "password_file") !== has(email, "username"))
        report(context, [], "expected username and password_file together, found only one of them");
    }, evenIfIncomplete),
);

const connect_ms = 20_000;

export const email = defineChannel({
  kind: "email",
  config,
  // The same Message-ID is the same mail; most programs show it once.
  comparesKeys: true,
  takesReplies: false,
  addressProblem: (to) =>
    address.test(to) ? null : `expected an e-mail address such as owner@example.org, found ${JSON.stringify(to)}`,
  async open(config, context) {
    const { createTransport } = await import("nodemailer");
    const atOnce = config.tls_at_once ?? config.port === 465;
    const options = {
      host: config.host,
      port: config.port,
      secure: atOnce,
      requireTLS: config.encrypted && !atOnce,
      ignoreTLS: !config.encrypted,
      connectionTimeout: connect_ms,
      greetingTimeout: connect_ms,
      socketTimeout: connect_ms * 2,
      tls: {
        minVersion: "TLSv1.2" as const,
        ...(config.ca !== undefined && { ca: readNamedFile("ca", config.ca, context.baseFolder) }),
      },
      ...(config.username !== undefined && {
        auth: {
          user: config.username,
          pass: readSecret("password_file", config.password_file ?? "", context.baseFolder),
        },
      }),
    };
    let problem: string | null = null;
    return {
      async send(message, signal) {
        // A connection for each message, which can be cut when the message is given up.
        const socket = new Socket();
        const transport = createTransport({ ...options, socket });
        const outcome = await deliver((mail) => transport.sendMail(mail), config, message, { signal, socket });
        problem = outcome.is === "failed" ? outcome.reason : null;
        return outcome;
      },
      health: () => ({ problem, note: null }),
      close() {},
    };
  },
});

async function deliver(
  sendMail: (mail: SendMailOptions) => Promise<unknown>,
  { from, host, port, short }: z.output<typeof config>,
  { key, to, subject, text, body, priority }: OutgoingMessage,
  { signal, socket }: { readonly signal: AbortSignal; readonly socket: Socket },
): Promise<Outcome> {
  if (signal.aborted) return { is: "failed", reason: "given up before it was sent", again: true };
  const tooLate: Outcome = { is: "failed", reason: `${host}:${port}: no answer in time`, again: true };
  const cut = Promise.withResolvers<Outcome>();
  const giveUp = () => {
    socket.destroy();
    cut.resolve(tooLate);
  };
  signal.addEventListener("abort", giveUp, { once: true });
  socket.on("connect", () => signal.aborted && socket.destroy()); // the name was being looked up until now
  const sending = async (): Promise<Outcome> => {
    try {
      await sendMail({
        from,
        to,
        ...(short ? { text } : { subject, text: body }),
        messageId: `<${key}@${from.split("@")[1]}>`,
        priority: priority === "high" ? "high" : "normal",
        // No answers by machines: out-of-office notes help nobody (RFC 3834).
        headers: { "Auto-Submitted": "auto-generated" },
        // Nothing of a message is ever fetched from elsewhere.
        disableFileAccess: true,
        disableUrlAccess: true,
      });
      return { is: "handed-over" };
    } catch (error) {
      return signal.aborted ? tooLate : explainMailError(error, `${host}:${port}`, to);
    }
  };
  try {
    return await Promise.race([sending(), cut.promise]);
  } finally {
    signal.removeEventListener("abort", giveUp);
    socket.destroy();
  }
}

// Against an HTTP receiver of the test's own, which checks the signature as the README tells.

import { createHmac } from "node:crypto";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { createServer, type IncomingMessage, type Server, type ServerResponse } from "node:http";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { fillTemplate } from "../../../../daemon/alarms/channels/webhook/template.ts";
import { webhook } from "../../../../daemon/alarms/channels/webhook.ts";
import { explainIssue } from "../../../../daemon/config/explain-issue.ts";
import { listeningChannel, message } from "./listening-channel.ts";

interface Request {
  readonly headers: IncomingMessage["headers"];
  readonly body: string;
}

let folder: string;
let server: Server;
let host: string;
let requests: Request[];
let answer: (response: ServerResponse) => void;
const never = new AbortController().signal;

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), "undercroft-webhook-"));
  writeFileSync(join(folder, "secret"), "a secret of two\nthis is not it");
  requests = [];
  answer = (response) => response.writeHead(204).end();
  server = createServer((request, response) => {
    let body = "";
    request.setEncoding("utf8").on("data", (text) => {
      body += text;
    });
    request.on("end", () => {
      requests.push({ headers: request.headers, body });
      answer(response);
    });
  });
  await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
  const address = server.address();
  host = `127.0.0.1:${typeof address === "object" ? address?.port : ""}`;
});
afterEach(() => {
  server.closeAllConnections();
  server.close();
  rmSync(folder, { recursive: true, force: true });
});

async function send(keys: Record<string, unknown> = {}, signal = never) {
  const config = webhook.config.parse({ kind: "webhook", name: "hook", ...keys });
  const channel = await webhook.open(config, listeningChannel(folder, { now_s: () => 1_772_582_400.4 }).context);
  return channel.send({ ...message, to: `http://${host}/alarms` }, signal);
}

describe("webhook", () => {
  it("sends the documented body, the same key at each attempt, and a signature that the receiver can check", async () => {
    expect(await send({ secret_file: "secret" })).toEqual({ is: "delivered" });
    await send({ secret_file: "secret" });
    const [{ headers, body }, second] = requests as [Request, Request];
    expect(JSON.parse(body)).toEqual({
      ...{ format: "undercroft-alarm/1", key: message.key, time: "2026-03-04T00:00:00.400Z", priority: "high" },
      ...{ subject: message.subject, text: message.text, body: message.body, link: message.link },
      ...{ maybe_repeated: false, message: 17, site: "Hill House" },
    });
    expect([headers["idempotency-key"], second.headers["idempotency-key"]]).toEqual([message.key, message.key]);
    const time = headers["x-undercroft-time"];
    expect(time).toBe("1772582400");
    const expected = createHmac("sha256", "a secret of two").update(`${time}.${body}`).digest("hex");
    expect(headers["x-undercroft-signature"]).toBe(`sha256=${expected}`);
  });

  it("brings its token", async () => {
    await send({ token_file: "secret" });
    expect(requests[0]?.headers.authorization).toBe("Bearer a secret of two");
    expect(requests[0]?.headers["x-undercroft-signature"]).toBeUndefined();
  });

  it.each([
    [302, "sends us elsewhere (302); give that address instead", false],
    [401, "refuses us (401); check the secret or the token", false],
    [404, "has nothing at that address (404); check it", false],
    [400, 'answers 400 "no"', false],
    [429, 'answers 429 "no"', true],
    [500, 'answers 500 "no"', true],
  ])("says what %i means, and follows no redirect", async (status, reason, again) => {
    answer = (response) => response.writeHead(status, { location: "/elsewhere" }).end("no");
    expect(await send()).toEqual({ is: "failed", reason: `${host}: ${reason}`, again });
    expect(requests).toHaveLength(1);
  });

  it("is done with a receiver that says yes and then no end", async () => {
    answer = (response) => response.writeHead(200).write("ye");
    expect(await send()).toEqual({ is: "delivered" });
  });

  it("gives up one that does not answer", async () => {
    answer = () => {};
    expect(await send({}, AbortSignal.timeout(50))).toEqual({
      ...{ is: "failed", reason: `${host}: given up before it answered`, again: true },
    });
  });
});

describe("a webhook's own body", () => {
  const nasty = { ...message, text: 'he said "no" & <b>\n{{key}}' };

  it("keeps each field one value, in JSON, in a form and in XML, and fills it once", () => {
    expect(JSON.parse(fillTemplate('{"m": {{ text }}}', nasty, "application/json"))).toEqual({ m: nasty.text });
    const form = fillTemplate("m={{text}}&p={{priority}}", nasty, "application/x-www-form-urlencoded");
    expect([...new URLSearchParams(form)]).toEqual([
      ["m", nasty.text],
      ["p", "high"],
    ]);
    expect(fillTemplate("<m>{{text}}</m>", nasty, "text/xml")).toBe(
      "<m>he said &#34;no&#34; &#38; &#60;b&#62;\n{{key}}</m>",
    );
    expect(fillTemplate("{{text}}", nasty, "text/plain")).toBe(nasty.text);
  });

  it("must be JSON where it says so", () => {
    const problem = (body: string, content_type?: string) =>
      webhook.config
        .safeParse(
          { kind: "webhook", name: "hook", body, ...(content_type && { content_type }) },
          { error: explainIssue },
        )
        .error?.issues.map(({ message }) => message);
    expect(problem('{"m": "{{text}}"}')).toEqual([
      'expected JSON once the fields are filled in (a field brings its own quotes), found "{\\"m\\": \\"{{text}}\\"}"',
    ]);
    expect(problem('{"m": {{text}}}')).toBeUndefined();
    expect(problem("{{text}}", "text/plain")).toBeUndefined();
  });
});

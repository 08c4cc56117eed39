import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { request } from "node:https";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, expect, it } from "vitest";
import { hashPassword } from "../../../daemon/central/access/password.ts";
import { makeCertificates } from "../../real/certificates.ts";
import { startRound } from "./round.ts";

const folder = mkdtempSync(join(tmpdir(), "undercroft-central-tls-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function send(
  url: string,
  ca: string,
  body: string,
): Promise<{ status: number | undefined; cookie: string | undefined }> {
  return new Promise((resolve, reject) => {
    const headers = { "content-type": "application/json" };
    const sent = request(url, { method: "POST", ca, headers, agent: false }, (answer) => {
      answer.resume();
      answer.on("end", () => resolve({ status: answer.statusCode, cookie: answer.headers["set-cookie"]?.[0] }));
    });
    sent.on("error", reject);
    sent.end(body);
  });
}

it("speaks TLS with its own certificate, and gives cookies that go over TLS only", async () => {
  const { ca, cert, key } = makeCertificates(folder, "view");
  const logins = [{ name: "anna", password: await hashPassword("a dry cellar"), customer: null }];
  const round = await startRound({ logins, server: { tls: { cert, key } } });
  expect(round.url).toMatch(/^https:/);
  const body = JSON.stringify({ name: "anna", password: "a dry cellar" });
  const { status, cookie } = await send(`${round.url}api/session`, readFileSync(ca, "utf8"), body);
  expect(status).toBe(200);
  expect(cookie).toMatch(/; Secure$/);
  await round.stop();
});

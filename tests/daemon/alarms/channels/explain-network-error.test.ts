import { describe, expect, it } from "vitest";
import { explainNetworkError } from "../../../../daemon/alarms/channels/explain-network-error.ts";

const wrapped = (code: string, message = code) =>
  new TypeError("fetch failed", { cause: Object.assign(new Error(message), { code }) });

describe("an address that gives no answer", () => {
  it.each([
    ["ECONNREFUSED", /^nothing listens there; check the address/],
    ["ENOTFOUND", /^there is no machine of that name; check/],
    ["ENETUNREACH", /^no way leads there; check the network$/],
    ["DEPTH_ZERO_SELF_SIGNED_CERT", /^its certificate does not check out \(.*\); check it/],
    ["ERR_TLS_CERT_ALTNAME_INVALID", /^its certificate does not check out/],
  ])("is explained by what to look at: %s", (code, said) => {
    expect(explainNetworkError(wrapped(code), 15)).toMatch(said);
  });

  it("keeps the words of what is not known, and names how long it was waited", () => {
    expect(explainNetworkError(wrapped("EODD", "an odd fault"), 15)).toBe("an odd fault");
    expect(explainNetworkError(new DOMException("", "TimeoutError"), 15)).toMatch(/^no answer in 15 s; check/);
  });
});

// Addresses by IANA's registries of special purpose (RFC 6890) and the RFCs named in the code.

import { describe, expect, it } from "vitest";
import { isPublicAddress, literalProblem, lookupPublic } from "../../../daemon/push/public-address.ts";

describe("an address", () => {
  it.each([
    "9.255.255.255",
    "11.0.0.1",
    "100.63.255.255",
    "172.15.0.1",
    "172.32.0.1",
    "192.167.1.1",
    "223.255.255.255",
  ])("%s is on the internet", (address) => expect(isPublicAddress(address)).toBe(true));

  it.each(["2600::1", "3fff:ffff::1", "64:ff9b::808:808"])("%s is, too", (address) =>
    expect(isPublicAddress(address)).toBe(true),
  );

  it.each([
    ...["0.0.0.0", "10.0.0.1", "100.64.0.1", "127.0.0.1", "127.255.1.1", "169.254.169.254", "172.16.0.1"],
    ...["172.31.255.255", "192.168.1.1", "198.19.0.1", "224.0.0.1", "255.255.255.255"],
    ...["::", "::1", "::ffff:127.0.0.1", "::ffff:808:808", "fe80::1", "fd00::1", "ff02::1", "2002:7f00:1::", "x", ""],
  ])("%s is not", (address) => expect(isPublicAddress(address)).toBe(false));

  it("is known in every way that a URL may write it", () => {
    for (const host of ["127.1", "0x7f000001", "2130706433", "[::ffff:127.0.0.1]", "[::1]", "192.168.1"])
      expect(literalProblem(new URL(`https://${host}/`).hostname), host).toContain("not on the internet");
    for (const host of ["push.example.org", "8.8.8.8", "[2600::1]"])
      expect(literalProblem(new URL(`https://${host}/`).hostname), host).toBeNull();
  });

  it("behind a name of this machine is none", async () => {
    const found = await new Promise((done) => lookupPublic("localhost", {}, (error) => done(error)));
    expect(String(found)).toContain("not on the internet");
  });
});

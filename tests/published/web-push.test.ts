// What the tests' own push service checks messages with, against the examples that the standards print.

import { describe, expect, it } from "vitest";
import { openPush } from "../real/push/open-push.ts";
import { readVapid } from "../real/push/vapid.ts";

describe("a push message", () => {
  // RFC 8291, section 5 and appendix A.
  const keys = {
    public: "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4",
    private: "q1dXpw3UpT5VOmu_cf_v6ih07Aems3njxI-JWgLcM94",
    auth: "BTBZMqHH6r4Tts7J_aSIgg",
  };
  const body = Buffer.from(
    "DGv6ra1nlYgDCS1FRnbzlwAAEABBBP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A_" +
      "yl95bQpu6cVPTpK4Mqgkf1CXztLVBSt2Ks3oZwbuwXPXLWyouBWLVWGNWQexSgSxsj_Qulcy4a-fN",
    "base64url",
  );

  it("of RFC 8291, appendix A, opens with the browser's key", () => {
    expect(openPush(body, keys)).toBe("When I grow up, I want to be a watermelon");
  });

  it("opens with no other secret, and not when a bit was changed", () => {
    expect(() => openPush(body, { ...keys, auth: "BTBZMqHH6r4Tts7J_aSIgA" })).toThrow();
    const changed = Buffer.from(body);
    changed[100] = (changed[100] ?? 0) ^ 1;
    expect(() => openPush(changed, keys)).toThrow();
  });
});

describe("a signature of who sends", () => {
  // RFC 8292, section 2.4.
  const token =
    "eyJ0eXAiOiJKV1QiLCJhbGciOiJFUzI1NiJ9.eyJhdWQiOiJodHRwczovL3B1c2guZXhhbXBsZS5uZXQiLCJleHAiOjE0NTM1MjM3NjgsInN1YiI6Im1h" +
    "aWx0bzpwdXNoQGV4YW1wbGUuY29tIn0.i3CYb7t4xfxCDquptFOepC9GAu_HLGkMlMuCGSK2rpiUfnK9ojFwDXb1JrErtmysazNjjvW2L9OkSSHzvoD1oA";
  const key = "BA1Hxzyi1RUM1b5wjxsn7nGxAszw2u61m164i3MrAIxHF6YK5h4SDYic-dRuU_RCPCfA5aq9ojSwk5Y2EmClBPs";

  it("of RFC 8292, section 2.4, is genuine and says what the text says", () => {
    const claims = { aud: "https://push.example.net", exp: 1_453_523_768, sub: "mailto:push@example.com" };
    expect(readVapid(`vapid t=${token}, k=${key}`)).toEqual({ claims, key });
  });

  it("is none with another key or other claims", () => {
    const other = "BP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A8"; // RFC 8291's
    expect(() => readVapid(`vapid t=${token}, k=${other}`)).toThrow("not by the key");
    expect(() => readVapid(`vapid t=${token.replace(".eyJhdWQiO", ".eyJhdWQiP")}, k=${key}`)).toThrow("not by the key");
  });
});

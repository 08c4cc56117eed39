// Expected PDUs: the two that most introductions to the format print (from memory), taken apart by hand with 3GPP TS 23.040
// and 23.038; limits and examples of the alphabet as the standard's tables give them.

import { describe, expect, it } from "vitest";
import { readPdu, submitPdus } from "../../../../../daemon/alarms/channels/sms/pdu.ts";
import { segmentsOf } from "../../../../../daemon/alarms/channels/sms/segments.ts";
import { packSeptets, unpackSeptets } from "../../../../../daemon/alarms/channels/sms/septets.ts";
import { fromGsm, gsmLength, gsmSeptets, nearlyGsm } from "../../../../../daemon/alarms/gsm-alphabet.ts";
import * as fc from "../../../../at-random.ts";

const toHex = (octets: Uint8Array) => Buffer.from(octets).toString("hex").toUpperCase();

describe("the alphabet of text messages", () => {
  it("packs hellohello as the usual example does", () => {
    expect(toHex(packSeptets(gsmSeptets("hellohello")?.flat() ?? []))).toBe("E8329BFD4697D9EC37");
  });

  it("counts escape pairs twice", () => {
    expect(gsmLength("Alarm [HIGH] 85% ~ 12 L/min")).toBe(30);
    expect(gsmLength("Basin level 31.2 cm, inflow 18 L/min, pump 1 on 6 min")).toBe(53);
    expect(gsmLength("Price 5€ {ok}")).toBe(16);
    expect(gsmLength("Temp 18 °C")).toBeNull();
  });

  it("holds all 127 characters of its table and the ten of its extension", () => {
    const codes = new Set<string>();
    for (let code = 0; code < 0x10000; code++) {
      const septets = gsmSeptets(String.fromCharCode(code));
      if (septets !== null) codes.add(septets.flat().join());
    }
    expect(codes.size).toBe(137);
  });

  it("says plainly what has a plain likeness, and leaves the rest", () => {
    expect(nearlyGsm("Café “Ñandú” – 18 °C…")).toBe('Café "Ñandu" - 18 degC...');
    expect(nearlyGsm("地下室")).toBe("地下室");
  });

  it("comes back whatever it is", () => {
    const char = fc.constantFrom(
      ..."@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞÆæßÉ !\"#¤%&'()*+,-./09:;<=>?¡AZÄÖÑÜ§¿azäöñüà^{}\\[~]|€\f",
    );
    fc.assert(
      fc.property(fc.array(char, { maxLength: 400 }), fc.integer({ min: 0, max: 6 }), (chars, fill) => {
        const septets = gsmSeptets(chars.join(""))?.flat() ?? [];
        expect(unpackSeptets(packSeptets(septets, fill), septets.length, fill)).toEqual(septets);
        expect(fromGsm(septets)).toBe(chars.join(""));
      }),
    );
  });
});

describe("the parts of a text", () => {
  it("are as many as the standard allows for", () => {
    const parts = (text: string) => segmentsOf(text).parts.length;
    const gsm = [160, 161, 306, 307, 459, 460].map((count) => parts("x".repeat(count)));
    expect(gsm).toEqual([1, 2, 2, 3, 3, 4]);
    expect([70, 71, 134, 135, 201, 202].map((count) => parts("ж".repeat(count)))).toEqual([1, 2, 2, 3, 3, 4]);
    expect(parts(`${"x".repeat(159)}[`)).toBe(2);
    expect(segmentsOf("\u{1F4A7}").parts[0]?.length).toBe(2);
  });

  it("tear apart neither an escape pair nor a surrogate pair", () => {
    const escaped = segmentsOf(`${"x".repeat(152)}[${"x".repeat(20)}`);
    expect(escaped.parts.map(({ length }) => length)).toEqual([152, 22]);
    const paired = segmentsOf(`${"ж".repeat(66)}\u{1F4A7}${"ж".repeat(10)}`);
    expect(paired.parts.map(({ length }) => length)).toEqual([66, 12]);
  });
});

describe("a text message", () => {
  it("goes out as the standard lays it out", () => {
    // 00 | 31 submit, relative validity, report | 00 | 0B 91 number | 00 | 00 GSM | 8F 12 h | 0A | hellohello
    expect(submitPdus("+46708251358", "hellohello", 0)).toEqual([
      { hex: "0031000B916407281553F800008F0AE8329BFD4697D9EC37", length: 23 },
    ]);
  });

  it("of several parts says which is which", () => {
    const [first, second] = submitPdus("+15550100", "x".repeat(161), 42);
    expect(first?.hex).toContain("A00500032A0201");
    expect(second?.hex).toContain("0F0500032A0202");
  });

  it("comes in with its sender and its text", () => {
    expect(readPdu("07917283010010F5040BC87238880900F10000993092516195800AE8329BFD4697D9EC37")).toEqual({
      is: "text",
      from: "27838890001",
      text: "hellohello",
      part: null,
    });
  });

  it("comes in as it went out, part by part, in either alphabet", () => {
    const texts = fc.oneof(
      fc.string({ unit: "grapheme-composite", minLength: 1, maxLength: 300 }),
      fc.string({ minLength: 1, maxLength: 400 }),
    );
    fc.assert(
      fc.property(texts, fc.integer({ min: 0, max: 255 }), (text, reference) => {
        const came = submitPdus("+15550100", text, reference).map(({ hex }) => readPdu(asReceived(hex)));
        expect(came.map((each) => (each.is === "text" ? each.text : "")).join("")).toBe(text);
      }),
    );
  });

  it("that is cut short or no message says where it ends", () => {
    expect(() => readPdu("079172")).toThrow("expected 7 octets of service centre at octet 1, found 2");
    expect(() => readPdu("OK")).toThrow('expected pairs of hexadecimal digits, found "OK"');
  });
});

/** The same user data as it would come in: SMS-DELIVER from the number it was sent to. */
function asReceived(hex: string): string {
  const octets = Buffer.from(hex, "hex");
  const hasHeader = ((octets[1] ?? 0) & 0x40) !== 0;
  const digits = octets[3] ?? 0;
  const address = octets.subarray(3, 5 + Math.ceil(digits / 2));
  const rest = octets.subarray(3 + address.length);
  const [protocol = 0, coding = 0] = rest;
  const bytes = Buffer.concat([
    Buffer.from([0, hasHeader ? 0x44 : 0x04]),
    address,
    Buffer.from([protocol, coding, ...new Uint8Array(7)]),
    rest.subarray(3),
  ]);
  return bytes.toString("hex").toUpperCase();
}

// Text messages as the network's side has them (3GPP TS 23.040, 9.2.2), written apart from the product's own.

export interface ReadSubmit {
  readonly to: string;
  readonly text: string;
  readonly coding: "gsm" | "ucs2";
  readonly wantsReport: boolean;
  /** Of several: reference, count, number. */
  readonly part: readonly [number, number, number] | null;
}

const swap = (pairs: string) => pairs.replaceAll(/(.)(.)/g, "$2$1");
const byte = (hex: string, at: number) => Number.parseInt(hex.slice(at * 2, at * 2 + 2), 16);

/** @param hex one that is to be submitted, with the service centre's part before it */
export function readSubmit(hex: string): ReadSubmit {
  const pdu = hex.slice(2 + byte(hex, 0) * 2);
  const first = byte(pdu, 0);
  if ((first & 3) !== 1) throw new Error(`no SMS-SUBMIT: ${hex}`);
  const digits = byte(pdu, 2);
  const numberOctets = Math.ceil(digits / 2);
  const number = swap(pdu.slice(8, 8 + numberOctets * 2)).slice(0, digits);
  const at = 4 + numberOctets;
  const [coding, count] = [byte(pdu, at + 1), byte(pdu, at + 3)];
  const data = pdu.slice((at + 4) * 2);
  const header = (first & 0x40) === 0 ? 0 : byte(data, 0) + 1;
  const bits = [...data.matchAll(/../g)]
    .map(([pair]) => [...Number.parseInt(pair, 16).toString(2).padStart(8, "0")].reverse().join(""))
    .join("");
  const firstSeptet = Math.ceil((header * 8) / 7);
  const septets = Array.from({ length: count - firstSeptet }, (_, i) =>
    Number.parseInt([...bits.slice((firstSeptet + i) * 7, (firstSeptet + i) * 7 + 7)].reverse().join(""), 2),
  );
  return {
    to: `${byte(pdu, 3) === 0x91 ? "+" : ""}${number}`,
    coding: coding === 8 ? "ucs2" : "gsm",
    text:
      coding === 8
        ? Buffer.from(data.slice(header * 2), "hex")
            .swap16()
            .toString("utf16le")
        : String.fromCharCode(...septets), // letters and digits stand where ASCII has them
    wantsReport: (first & 0x20) !== 0,
    part: header === 0 ? null : [byte(data, 3), byte(data, 4), byte(data, 5)],
  };
}

const stamp = "62304060000000";
const numberOf = (from: string) => {
  const digits = from.replace("+", "");
  return `${digits.length.toString(16).padStart(2, "0")}91${swap(digits.length % 2 === 0 ? digits : `${digits}F`)}`;
};

/** A message that arrives, in UCS-2, as one part or one of several. */
export function deliverPdu(from: string, text: string, part: readonly [number, number, number] | null = null): string {
  const header = part === null ? "" : `050003${part.map((each) => each.toString(16).padStart(2, "0")).join("")}`;
  const data = `${header}${Buffer.from(text, "utf16le").swap16().toString("hex")}`;
  const length = (data.length / 2).toString(16).padStart(2, "0");
  return `00${part === null ? "04" : "44"}${numberOf(from)}0008${stamp}${length}${data}`.toUpperCase();
}

/** The network's report on a message; status 0 is delivered, 64 given up (TS 23.040, 9.2.3.15). */
export function reportPdu(reference: number, to: string, status: number): string {
  const hex = (value: number) => value.toString(16).padStart(2, "0");
  return `0006${hex(reference)}${numberOf(to)}${stamp}${stamp}${hex(status)}`.toUpperCase();
}

/** `+CMT:` or `+CDS:` with its PDU, as it comes straight (TS 27.005, 3.4.1). */
export function straight(head: "+CMT: ," | "+CDS: ", pdu: string): string {
  return `\r\n${head}${pdu.length / 2 - 1}\r\n${pdu}\r\n`;
}

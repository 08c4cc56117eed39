// What a modem's refusal means and what to change, for the codes that a user can do something about
// (+CMS ERROR: 3GPP TS 27.005, 3.2.5 and TS 24.011; +CME ERROR: TS 27.007, 9.2).

import { AtError } from "./at-port.ts";

const meanings: readonly (readonly [RegExp, string])[] = [
  [/^gone$/, "the modem is gone from its port; check its plug and its supply"],
  [/^reset$/, "the modem started anew in the middle; check its supply"],
  [/^given up$/, "given up before it was sent"],
  [/^silent$/, "the modem does not answer; check the port and its speed, and its supply"],
  [/CME ERROR: (10|13|14|15)$|CMS ERROR: (310|313|314|315)$/, "the modem finds no SIM card that works; check the card"],
  [
    /CME ERROR: (11|12|17|18)$|CMS ERROR: (311|312|317|318)$/,
    "the SIM card is locked; give its PIN in pin_file, or unlock it in a telephone",
  ],
  [/CME ERROR: 16$/, "the SIM card does not take the PIN; correct pin_file before its tries are used up"],
  [/CME ERROR: 3[0-2]$|CMS ERROR: 33[12]$/, "no mobile network; check aerial and place"],
  [/CMS ERROR: 330$/, "the SIM card has no number of a service centre; set it in a telephone"],
  [/CMS ERROR: (322|320)$/, "the modem's memory is full"],
  [/CMS ERROR: (1|28)$/, "the network knows no such number; check it"],
  [/CMS ERROR: (8|10|29|50|69)$/, "the network does not let this card send; check its credit and its contract"],
  [/CMS ERROR: (21|27|38|41|42|47)$/, "the network did not take it for now"],
];

export function explainModem(error: unknown): string {
  if (!(error instanceof AtError)) return error instanceof Error ? error.message : String(error);
  const known = meanings.find(([pattern]) => pattern.test(error.said));
  return known === undefined ? `the modem says ${error.said}` : known[1];
}

/** Whether another attempt at the same message may succeed: all but a number that does not exist. */
export function mayWorkLater(error: unknown): boolean {
  return !(error instanceof AtError && /CMS ERROR: (1|28)$/.test(error.said));
}

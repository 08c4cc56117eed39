// What each kind of finding is called, on the page and in what is sent. What to do is the finding's own message.

import type { FindingKind } from "./finding.ts";

export const findingTitle: Readonly<Record<FindingKind, string>> = {
  "high-water": "High water",
  "inflow-exceeds-pump": "More comes in than the pump moves",
  undersized: "The pump is small for the worst so far",
  "short-cycling": "The pump starts too often",
  "float-stuck-off": "The pump does not start",
  "float-stuck-on": "The pump does not stop",
  "check-valve-leak": "Water comes back through the check valve",
  "discharge-blocked": "The discharge lets little through",
  "pump-worn": "The pump moves less than it used to",
  "power-lost": "No power",
  "sensor-fault": "A sensor cannot be trusted",
};

// Every kind of source there is. The site file's schema, the contract tests and the documents read this list: a new
// kind is its file and one line here.

import { gpio } from "./gpio.ts";
import { mqtt } from "./mqtt.ts";
import { replay } from "./replay.ts";
import { simulated } from "./simulated.ts";
import type { SourceKind } from "./source.ts";

export const sourceKinds: readonly SourceKind[] = [replay, simulated, mqtt, gpio];

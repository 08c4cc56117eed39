// Starts publishing on a broker where the site file asks for it, and says first what stands in the store, so that what
// the broker kept of the last run is true again. The library is loaded only where it is used.

import type { SiteFile } from "./config/site-file.ts";
import type { Acknowledgement } from "./publishers/acknowledgement.ts";
import type { MqttPublisher } from "./publishers/mqtt-publisher.ts";
import type { Shelving } from "./publishers/shelving.ts";
import type { Store } from "./stores/store.ts";

export interface PublisherParts {
  readonly store: Pick<Store, "span" | "cycles" | "findings">;
  readonly invented: boolean;
  readonly now_s: () => number;
  onAcknowledge?(acknowledgement: Acknowledgement): void;
  onShelve?(shelving: Shelving): void;
  log(line: string): void;
}

/** Enough to find the newest finding of each kind. */
const mostFindings = 500;

/** Null when nothing is to be published. When it cannot be, log and page say why, and the daemon goes on. */
export async function openPublisher(
  { publish, baseFolder }: SiteFile,
  { store, invented, now_s, onAcknowledge, onShelve, log }: PublisherParts,
): Promise<MqttPublisher | null> {
  if (publish.mqtt === null) return null;
  try {
    const { startMqttPublisher } = await import("./publishers/mqtt-publisher.ts");
    const publisher = await startMqttPublisher(publish.mqtt, {
      ...{ baseFolder, invented, now_s, log },
      ...(onAcknowledge !== undefined && { onAcknowledge }),
      ...(onShelve !== undefined && { onShelve }),
    });
    sayWhatStands(publisher, store);
    return publisher;
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    const fault = `${why}; nothing is published until the daemon is started again`;
    log(`publish.mqtt: ${fault}`);
    return silentPublisher(fault);
  }
}

function silentPublisher(fault: string): MqttPublisher {
  return { state() {}, cycle() {}, finding() {}, about() {}, error: () => fault, close: async () => {} };
}

function sayWhatStands(publisher: MqttPublisher, store: PublisherParts["store"]): void {
  const span = store.span();
  if (span === null) return;
  for (const cycle of store.cycles(span, 1)) publisher.cycle(cycle);
  for (const finding of store.findings(span, mostFindings).reverse()) publisher.finding(finding);
}

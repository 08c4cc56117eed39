// The network's reports of delivery, put together for messages of several parts. A report may be there before the last part
// has gone out.

export interface AwaitedReports {
  /** A message is about to go. */
  begin(key: string): Outgoing;
  take(reference: number, delivered: boolean, reason: string | null): void;
}

export interface Outgoing {
  /** A part is with the network, by its reference; a negative one is none. */
  part(reference: number): void;
  /** All are. */
  complete(): void;
}

interface Parts {
  readonly key: string;
  readonly left: Set<number>;
  complete: boolean;
  failed: boolean;
}

/** References are of one octet; a report comes within the message's validity. */
const mostReports = 200;

/** @param onReceipt told once of each message: all parts delivered, or one not */
export function awaitReports(
  onReceipt: (key: string, delivered: boolean, reason: string | null) => void,
): AwaitedReports {
  const byReference = new Map<number, Parts>();
  return {
    begin(key) {
      const parts: Parts = { key, left: new Set(), complete: false, failed: false };
      let count = 0;
      return {
        part(reference) {
          if (reference < 0) return;
          count++;
          parts.left.add(reference);
          byReference.delete(reference);
          byReference.set(reference, parts);
          for (const oldest of byReference.keys()) if (byReference.size > mostReports) byReference.delete(oldest);
        },
        complete() {
          parts.complete = true;
          if (count > 0 && parts.left.size === 0 && !parts.failed) onReceipt(key, true, null);
        },
      };
    },
    take(reference, delivered, reason) {
      const parts = byReference.get(reference);
      if (parts === undefined) return;
      byReference.delete(reference);
      parts.left.delete(reference);
      if (!delivered && !parts.failed) onReceipt(parts.key, false, reason);
      parts.failed ||= !delivered;
      if (delivered && parts.complete && parts.left.size === 0 && !parts.failed) onReceipt(parts.key, true, null);
    },
  };
}

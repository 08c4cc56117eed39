// The one row about forwarding to a shared database.

import type { DatabaseSync } from "node:sqlite";
import type { ForwardPlace } from "../store.ts";
import { StoreError } from "../store-error.ts";
import { number, numberOrNull } from "./row.ts";

export interface ForwardTable {
  board(): string;
  place(): ForwardPlace | null;
  put(place: ForwardPlace): void;
  /** Inside the transaction that derives anew from that time on. */
  deriveAnew(from_s: number): void;
}

export function forwardTable(database: DatabaseSync): ForwardTable {
  const get = database.prepare("SELECT * FROM forward");
  const put = database.prepare(
    "UPDATE forward SET target = ?, readings = ?, state = ?, cycles_s = ?, findings_s = ?, inflow_s = ?, anew_s = ?",
  );
  const deriveAnew = database.prepare("UPDATE forward SET anew_s = min(ifnull(anew_s, ?1), ?1)");
  const row = () => {
    const found = get.get();
    if (found === undefined) throw new StoreError("the store has lost the row about forwarding; the file is damaged");
    return found;
  };

  return {
    board: () => String(row().board),
    place() {
      const { target, readings, state, cycles_s, findings_s, inflow_s, anew_s } = row();
      if (typeof target !== "string" || typeof state !== "string") return null;
      return {
        target,
        readings: number(readings),
        state,
        cyclesTo_s: number(cycles_s),
        findingsTo_s: number(findings_s),
        inflowTo_s: number(inflow_s),
        anewFrom_s: numberOrNull(anew_s),
      };
    },
    put(place) {
      const { target, readings, state, cyclesTo_s, findingsTo_s, inflowTo_s, anewFrom_s } = place;
      put.run(target, readings, state, cyclesTo_s, findingsTo_s, inflowTo_s, anewFrom_s);
    },
    deriveAnew: (from_s) => {
      deriveAnew.run(from_s);
    },
  };
}

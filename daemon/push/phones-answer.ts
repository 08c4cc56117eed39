// Of the phones that are kept, what may be shown: not where they are reached.

import type { PhonesAnswer } from "../server/phones-types.ts";
import type { Phone } from "./phone-book.ts";

/** @param problemOf why a phone was not reached last time */
export function phonesOf(
  all: readonly Phone[],
  address: string,
  problemOf: (id: string) => string | null,
): PhonesAnswer["people"][number]["phones"] {
  return all
    .filter(({ to }) => to === address)
    .map(({ id, name, since_s, took_s, shown_s, ended }) => ({
      ...{ id, name, since_s, took_s, shown_s, ended },
      problem: problemOf(id),
    }));
}

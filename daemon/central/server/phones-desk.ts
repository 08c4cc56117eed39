// The phones of whoever is logged in: one log-in sees and changes its own alone.

import { phonesOf } from "../../push/phones-answer.ts";
import type { PhonesAnswer } from "../../server/phones-types.ts";
import type { PhoneDesk } from "../../server/server-parts.ts";
import type { PhoneTeller } from "../phones/tell-phones.ts";

/**
 * @param teller null where the central view's file names no phones
 * @param person name of the log-in
 */
export function phonesDesk(teller: PhoneTeller | null, person: string): PhoneDesk {
  const view = (): PhonesAnswer => {
    if (teller === null) return { publicKey: null, problem: notSetUp, secureAddress: null, people: [] };
    const phones = phonesOf(teller.book.phones(), person, teller.sender.problemOf);
    const publicKey = teller.book.keys.publicKey;
    return { publicKey, problem: null, secureAddress: null, people: [{ name: person, by: "phones", phones }] };
  };
  const own = (name: string): PhoneTeller => {
    if (teller === null) throw new RangeError(`phones: ${notSetUp}`);
    if (name !== person) throw new RangeError(`person: expected ${person}, found ${name}`);
    return teller;
  };
  const isOwn = (id: string) => teller?.book.phones().some((phone) => phone.id === id && phone.to === person) === true;
  return {
    view,
    add(name, called, subscription) {
      own(name).book.add({ to: person, name: called }, subscription);
      return view();
    },
    renew(replaces, subscription) {
      const before = teller?.book.phones().find(({ endpoint, to }) => endpoint === replaces && to === person);
      if (before === undefined) throw new RangeError("replaces: expected a phone of the list, found none");
      teller?.renew(before, subscription);
      return view();
    },
    remove(id) {
      if (isOwn(id)) teller?.book.remove(id);
      return view();
    },
    test(name) {
      own(name).test(person);
      return view();
    },
    shown: (id, key) => isOwn(id) && teller?.sender.shown(id, key) === true,
  };
}

const notSetUp = "the central view's file has no phones";

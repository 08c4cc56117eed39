// What a person at the page may see and do about the phones that are told: those of the site file's contacts.

import { phonesOf } from "../push/phones-answer.ts";
import type { PhonesAnswer } from "../server/phones-types.ts";
import type { PhoneDesk } from "../server/server-parts.ts";
import type { AlarmsConfig } from "./alarms-config.ts";
import type { ChannelPhones } from "./channels/channel.ts";
import type { ChannelAtWork } from "./channels/channel-at-work.ts";

/** @param test sends a test to a contact by one of its channels */
export function phoneDesk(
  config: AlarmsConfig,
  channels: ReadonlyMap<string, ChannelAtWork>,
  test: (contact: string, by: string) => unknown,
): PhoneDesk {
  const people = config.contacts.flatMap(({ name, reach }) => {
    const way = reach.find(({ by }) => kindOf(config, by) === "web-push");
    return way === undefined ? [] : [{ name, ...way }];
  });

  const secureAddress = config.pageAddress?.startsWith("https:") === true ? config.pageAddress : null;

  function view(): PhonesAnswer {
    const [first] = people;
    const channel = config.channels.find(({ kind }) => kind === "web-push");
    if (channel === undefined || first === undefined) return none(notSetUp);
    const at = channels.get(channel.name)?.channel;
    if (at?.phones === undefined) return none(at?.health().problem ?? notSetUp);
    const { problemOf, all: list } = at.phones;
    const all = list();
    const strays = new Set(all.map(({ to }) => to).filter((to) => !people.some((person) => person.to === to)));
    return {
      publicKey: at.phones.publicKey,
      problem: null,
      secureAddress,
      people: [
        ...people.map(({ name, by, to }) => ({ name, by, phones: phonesOf(all, to, problemOf) })),
        ...[...strays].map((to) => ({ name: to, by: null, phones: phonesOf(all, to, problemOf) })),
      ],
    };
  }

  function none(problem: string): PhonesAnswer {
    return { publicKey: null, problem, secureAddress, people: [] };
  }

  function phones(): ChannelPhones {
    const found = people.map(({ by }) => channels.get(by)?.channel.phones).find((each) => each !== undefined);
    if (found === undefined) throw new RangeError(`phones: ${view().problem ?? notSetUp}`);
    return found;
  }

  function personOf(name: string): (typeof people)[number] {
    const found = people.find((person) => person.name === name);
    if (found !== undefined) return found;
    const known = people.map((person) => person.name).join(", ");
    throw new RangeError(`person: expected one of ${known === "" ? "nobody" : known}, found ${name}`);
  }

  return {
    view,
    add(person, name, subscription) {
      phones().add({ to: personOf(person).to, name }, subscription, null);
      return view();
    },
    renew(replaces, subscription) {
      const before = phones()
        .all()
        .find(({ endpoint }) => endpoint === replaces);
      if (before === undefined) throw new RangeError("replaces: expected a phone of the list, found none");
      phones().add(before, subscription, before.id);
      return view();
    },
    remove(id) {
      phones().remove(id);
      return view();
    },
    test(person) {
      test(person, personOf(person).by);
      return view();
    },
    shown: (id, key) => phones().shown(id, key),
  };
}

const notSetUp = "the site file names no channel of kind web-push, or no contact who is reached by it";

function kindOf({ channels }: AlarmsConfig, name: string): string | null {
  return channels.find((channel) => channel.name === name)?.kind ?? null;
}

// The phones that are told, and the button that takes up the one at hand; where a browser cannot be told, why not and what to
// do about it.

import { useSignal } from "@preact/signals";
import { useEffect, useId } from "preact/hooks";
import type { PhoneShown, PhonesAnswer } from "../../daemon/server/phones-types.ts";
import { api } from "../api.ts";
import { ToneMark } from "../parts/severity-mark.tsx";
import { type Obstacle, obstacle, ownId, subscribe, unsubscribe } from "./this-phone.ts";

export function TellThisPhone(props: {
  readonly when: (time_s: number) => string;
  /** Whatever it is: when it changes, the list is asked for again. */
  readonly news?: unknown;
  readonly onChange?: () => void;
}) {
  const { when, news = null, onChange = () => {} } = props;
  const answer = useSignal<PhonesAnswer | null>(null);
  const own = useSignal<string | null>(null);
  const said = useSignal<{ readonly text: string; readonly isFault: boolean } | null>(null);
  const inTheWay = useSignal<Obstacle | null>(obstacle());
  const isBusy = useSignal(false);

  const attempt = async (work: () => Promise<string | null>) => {
    isBusy.value = true;
    said.value = null;
    try {
      const text = await work();
      own.value = await ownId();
      said.value = text === null ? null : { text, isFault: false };
    } catch (error) {
      said.value = { text: error instanceof Error ? error.message : String(error), isFault: true };
    } finally {
      inTheWay.value = obstacle();
      isBusy.value = false;
    }
  };
  useEffect(() => {
    // What was said of the last press of a button stays.
    const list = async () => {
      answer.value = await api.phones.list();
      own.value = await ownId();
    };
    list().catch(() => {});
  }, [news]);

  const all = answer.value;
  if (all === null) return null;
  const mine = all.people.flatMap(({ name, by, phones }) =>
    phones.filter(({ id, ended }) => id === own.value && ended === null).map(() => ({ name, by })),
  )[0];
  return (
    <section aria-labelledby="phones-told">
      <h2 id="phones-told">Phones that have this page</h2>
      <p class="quiet">
        A notice on each, through its browser's push service: it needs the internet on both sides, so let it not be the
        only way.
      </p>
      {all.people.map(({ name, by, phones }) =>
        phones.length === 0 ? null : (
          <ul key={name} class="alarm-list" aria-label={`Phones of ${name}`}>
            {phones.map((phone) => (
              <li key={phone.id}>
                <ToneMark tone={by !== null && isWell(phone) ? "calm" : "watch"} />
                <div>
                  <p>
                    <b>{name}</b>: {phone.name}
                    {phone.id === own.value && " (this one)"}
                  </p>
                  <p class="quiet">{standing(phone, when)}</p>
                  {phone.problem !== null && <p class="fault">Not reached: {phone.problem}.</p>}
                  {phone.ended !== null && (
                    <p class="fault">
                      Told no more since {when(phone.ended.at_s)}: {phone.ended.reason}. Press the button on it again.
                    </p>
                  )}
                  {by === null && <p class="fault">The site file names nobody any more who is told by it.</p>}
                </div>
                <button
                  type="button"
                  disabled={isBusy.value}
                  aria-label={`Remove ${phone.name} of ${name}`}
                  onClick={() =>
                    attempt(async () => {
                      if (phone.id === own.value) await unsubscribe();
                      answer.value = await api.phones.remove(phone.id);
                      onChange();
                      return `${phone.name} of ${name} is told no more.`;
                    })
                  }
                >
                  Remove
                </button>
              </li>
            ))}
          </ul>
        ),
      )}
      {all.publicKey === null ? (
        <p class="phones-how">Phones are not told yet: {all.problem}.</p>
      ) : inTheWay.value !== null ? (
        <WhatToDo about={inTheWay.value} secureAddress={all.secureAddress} />
      ) : mine !== undefined ? (
        <p class="phones-this">
          <span>
            This phone is told as <b>{mine.name}</b>.
          </span>
          <button
            type="button"
            disabled={isBusy.value}
            onClick={() =>
              attempt(async () => {
                answer.value = await api.phones.test(mine.name);
                onChange();
                return "A test is on its way; it should show within a minute, with the screen off, too.";
              })
            }
          >
            Send a test
          </button>
        </p>
      ) : (
        <TakeUp
          people={all.people.filter(({ by }) => by !== null).map(({ name }) => name)}
          isBusy={isBusy.value}
          takeUp={(person, name) =>
            attempt(async () => {
              const subscription = await subscribe(all.publicKey ?? "");
              answer.value = await api.phones.add(person, name, subscription.toJSON());
              onChange();
              return "Done. Now send a test.";
            })
          }
        />
      )}
      <p role="status" class={`phones-said ${said.value?.isFault ? "fault" : ""}`}>
        {said.value?.text}
      </p>
    </section>
  );
}

function TakeUp(props: {
  readonly people: readonly string[];
  readonly isBusy: boolean;
  readonly takeUp: (person: string, name: string) => void;
}) {
  const { people, isBusy, takeUp } = props;
  const person = useSignal(people[0] ?? "");
  const name = useSignal("phone");
  const id = useId();
  return (
    <form
      class="take-up"
      onSubmit={(event) => {
        event.preventDefault();
        takeUp(person.value, name.value.trim() === "" ? "phone" : name.value);
      }}
    >
      {people.length > 1 && (
        <label for={`${id}-person`} class="ask-line">
          Whose phone is this?
          <select
            id={`${id}-person`}
            value={person.value}
            onChange={(event) => {
              person.value = event.currentTarget.value;
            }}
          >
            {people.map((each) => (
              <option key={each}>{each}</option>
            ))}
          </select>
        </label>
      )}
      <label for={`${id}-name`} class="ask-line">
        What to call it
        <input
          id={`${id}-name`}
          value={name.value}
          maxLength={40}
          onInput={(event) => {
            name.value = event.currentTarget.value;
          }}
        />
      </label>
      <button type="submit" class="strong" disabled={isBusy}>
        Tell this phone
      </button>
    </form>
  );
}

/** Never a button that can do nothing. */
function WhatToDo({ about, secureAddress }: { about: Obstacle; secureAddress: string | null }) {
  if (about === "forbidden") {
    return (
      <p class="phones-how">
        Notices of this page are switched off on this device. Allow them in the browser's settings for this page, and
        load it again.
      </p>
    );
  }
  if (about === "unable") {
    return (
      <p class="phones-how">
        This browser cannot be told from here. Some phones allow it only once this page was added to the home screen: do
        that in the share menu, then open the page from there. Else take another browser.
      </p>
    );
  }
  return (
    <div class="phones-how">
      <p>
        This page was opened without encryption (http). Browsers let only encrypted pages (https) tell a phone, also at
        home.
      </p>
      {secureAddress !== null ? (
        <p>
          Open it here instead: <a href={`${secureAddress}/#alarms`}>{secureAddress}</a>
        </p>
      ) : (
        <ul>
          <li>
            Give the board a certificate (<code>{"server: { tls: … }"}</code> in the site file), name its address as{" "}
            <code>page_address</code> under <code>alarms</code>, and open that on the phone.
          </li>
          <li>Or take the phone up in the central view, whose page is encrypted.</li>
        </ul>
      )}
    </div>
  );
}

function isWell({ ended, problem, took_s }: PhoneShown): boolean {
  return ended === null && problem === null && took_s !== null;
}

function standing({ since_s, took_s, shown_s }: PhoneShown, when: (time_s: number) => string): string {
  if (shown_s !== null && shown_s >= (took_s ?? 0)) return `Last showed something ${when(shown_s)}`;
  if (took_s !== null) return `Last sent something ${when(took_s)}; it has not said that it showed it`;
  return `Taken up ${when(since_s)}, never proven`;
}

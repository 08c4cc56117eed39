// What a person does about alarms, from whichever view: what is asked first, who does it, and what came of it.

import { batch, computed, signal } from "@preact/signals";
import type { AlarmName } from "../analysis/alarms/alarm.ts";
import type { ActiveAlarm, AlarmsAnswer } from "../daemon/server/api-types.ts";
import { type AlarmAct, api } from "./api.ts";
import { live, site } from "./live.ts";
import { myName } from "./preferences.ts";

/** The newest that is known; null before the first answer. */
export const alarmsNow = signal<AlarmsAnswer | null>(null);
/** Why that could not be read; null: it was. */
export const alarmsUnread = signal<string | null>(null);
/** What came of what was done last; null: nothing was, or it was read. */
export const alarmSaid = signal<{ readonly words: string; readonly failed: boolean } | null>(null);

/** What is asked before it is done. */
export interface Asking {
  readonly act: "acknowledge" | "shelve" | "out-of-service";
  readonly alarm: AlarmName;
  readonly title: string;
  /** Of shelving: so long at most. */
  readonly longest_s: number;
}

export const asking = signal<Asking | null>(null);

/** Whether whoever looks from afar is one of staff; asked for once. */
const isStaff = signal(false);
let hasAsked = false;

/** At the board whoever sees the page may answer; from afar staff, where the board lets them. */
export const mayAnswer = computed(() => {
  const overview = site.value?.overview;
  if (overview === undefined) return true;
  if (!hasAsked) void askWho(overview);
  return live.value?.takesAnswers === true && isStaff.value;
});

async function askWho(overview: string): Promise<void> {
  hasAsked = true;
  try {
    const { login, required } = await api.session(overview);
    isStaff.value = login === null ? !required : login.customer === null;
  } catch {
    hasAsked = false; // with the next thing that changes
  }
}

/** At once where it is known who asks; else the name is asked for first. */
export function acknowledge({ name, title, from_s }: ActiveAlarm): void {
  if (site.peek()?.overview !== undefined) void doFromAfar(api.acknowledgeFromAfar(name, from_s));
  else if (myName.value === "") asking.value = { act: "acknowledge", alarm: name, title, longest_s: 0 };
  else void act({ alarm: name, act: "acknowledge" });
}

async function doFromAfar(asked: Promise<unknown>): Promise<void> {
  try {
    await asked;
    alarmSaid.value = {
      words: "The broker keeps your answer; once the board has it, nobody further is called.",
      failed: false,
    };
  } catch (error) {
    alarmSaid.value = { words: wordsOf(error), failed: true };
  }
}

/** @returns whether it was done */
export function act(what: Omit<AlarmAct, "by">): Promise<boolean> {
  const by = myName.value === "" ? {} : { by: myName.value };
  return doIt(api.actOnAlarm({ ...what, ...by }), doneWord[what.act]);
}

export function sendTest(contact: string, by: string | null): Promise<boolean> {
  return doIt(api.testContact(contact, by, myName.value || null), `A test to ${contact} is on its way.`);
}

/** Asks how the alarms stand. @throws when there was no answer */
export async function askAlarms(): Promise<void> {
  try {
    const answer = await api.alarms();
    batch(() => {
      alarmsNow.value = answer;
      alarmsUnread.value = null;
    });
  } catch (error) {
    alarmsUnread.value = wordsOf(error);
    throw error;
  }
}

const doneWord: Readonly<Record<AlarmAct["act"], string>> = {
  acknowledge: "Noted: nobody further is called.",
  reset: "Reset.",
  shelve: "Shelved: nobody is told of it until then.",
  unshelve: "Off the shelf: it is told again.",
  "out-of-service": "Out of service: nobody is told of it until somebody puts it back.",
  "in-service": "In service: it is told again.",
};

async function doIt(asked: Promise<AlarmsAnswer>, done: string): Promise<boolean> {
  try {
    const answer = await asked;
    batch(() => {
      alarmsNow.value = answer;
      alarmSaid.value = { words: done, failed: false };
    });
    return true;
  } catch (error) {
    alarmSaid.value = { words: wordsOf(error), failed: true };
    return false;
  }
}

function wordsOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}

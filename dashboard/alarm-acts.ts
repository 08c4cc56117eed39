// What a person does about alarms, from whichever view: what is asked first, who does it, and what came of it.

import { batch, computed, signal } from "@preact/signals";
import type { AlarmName } from "../analysis/alarms/alarm.ts";
import type { ActiveAlarm, AlarmsAnswer } from "../daemon/server/alarms-types.ts";
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

/** Whether the log-in of whoever looks from afar may do anything about alarms; asked for once. */
const mayAct = signal(false);
let hasAsked = false;

/** Seen from the central view, not from the board. */
export const isFromAfar = computed(() => site.value?.overview !== undefined);

/** At the board whoever sees the page may answer; from afar whose log-in may, where the board lets them. */
export const mayAnswer = computed(() => {
  return !isFromAfar.value || (live.value?.takesAnswers === true && mayActFromAfar());
});

export const mayShelve = computed(() => {
  return !isFromAfar.value || (live.value?.fromAfar?.takesShelving === true && mayActFromAfar());
});

function mayActFromAfar(): boolean {
  const overview = site.value?.overview;
  if (!hasAsked && overview !== undefined) void askWho(overview);
  return mayAct.value;
}

async function askWho(overview: string): Promise<void> {
  hasAsked = true;
  try {
    const { login, required } = await api.session(overview);
    mayAct.value = login === null ? !required : login.answers;
  } catch {
    hasAsked = false; // with the next thing that changes
  }
}

/** At once where it is known who asks; else the name is asked for first. */
export function acknowledge({ name, title, from_s }: ActiveAlarm): void {
  if (isFromAfar.peek()) void doFromAfar(api.acknowledgeFromAfar(name, from_s), answeredFromAfar);
  else if (myName.value === "") asking.value = { act: "acknowledge", alarm: name, title, longest_s: 0 };
  else void act({ alarm: name, act: "acknowledge" });
}

const answeredFromAfar = "The broker keeps your answer; once the board has it, nobody further is called.";
const shelvedFromAfar = "The broker keeps it; once the board has it, it is so.";

async function doFromAfar(asked: Promise<unknown>, done: string): Promise<boolean> {
  try {
    await asked;
    alarmSaid.value = { words: done, failed: false };
    return true;
  } catch (error) {
    alarmSaid.value = { words: wordsOf(error), failed: true };
    return false;
  }
}

/** From afar alarms can be answered and shelved. @returns whether it was done */
export function act(what: Omit<AlarmAct, "by">): Promise<boolean> {
  if (isFromAfar.peek()) {
    const for_s = what.act === "shelve" ? (what.for_s ?? null) : null;
    return doFromAfar(api.shelveFromAfar(what.alarm, for_s, what.reason ?? null), shelvedFromAfar);
  }
  const by = myName.value === "" ? {} : { by: myName.value };
  return doIt(api.actOnAlarm({ ...what, ...by }), doneWord[what.act]);
}

export function sendTest(contact: string, by: string | null): Promise<boolean> {
  return doIt(api.testContact(contact, by, myName.value || null), `A test to ${contact} is on its way.`);
}

/** @param day `2026-05-01` */
export function enterService(day: string): Promise<boolean> {
  return doIt(api.enterService(day, myName.value || null), "Entered: you are reminded of the next one.");
}

export function takeBackService(day: string): Promise<boolean> {
  return doIt(api.takeBackService(day, myName.value || null), "Taken back: it counts as not done.");
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

// Options that several commands take, checked where they are given. Part of the command line: loads nothing.

import { InvalidArgumentError } from "commander";

export function port(text: string): number {
  return numberWithin(text, 0, 65_535, "a port, 0 to 65535 (0: any that is free)", /^\d+$/);
}

export function speed(text: string): number {
  return numberWithin(text, 1, 10_000, "a speed, 1 to 10000", /^\d+(\.\d+)?$/);
}

function numberWithin(text: string, least: number, most: number, expected: string, form: RegExp): number {
  const number = Number(text);
  if (!form.test(text) || number < least || number > most) {
    throw new InvalidArgumentError(`Expected ${expected}, found ${JSON.stringify(text)}.`);
  }
  return number;
}

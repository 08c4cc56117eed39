// What a fault of the GPIO interface means, in words that say what to do.

import { chipsText, type LineAddress, lineText } from "./find-line.ts";

/** A fault of `onoff` or of the kernel, on the way to a line or while it is read. */
export function explainGpioError(error: unknown, address: LineAddress, folder: string): Error {
  const code = error instanceof Error && "code" in error ? String(error.code) : "";
  const text = error instanceof Error ? error.message : String(error);
  return new Error(`${lineText(address)}: ${explain(code, text, folder)}`, { cause: error });
}

/** Why `onoff` does not load. */
export function explainMissingDriver(error: unknown): Error {
  const code = error instanceof Error && "code" in error ? String(error.code) : "";
  const text = error instanceof Error ? error.message : String(error);
  const builtForAnother = code === "ERR_DLOPEN_FAILED";
  const notBuilt = text.startsWith("Could not locate the bindings file");
  if (code === "ERR_MODULE_NOT_FOUND") {
    return new Error('the package onoff is not installed; run "npm ci --include=optional", then "npm run build:gpio"');
  }
  if (!builtForAnother && !notBuilt) return new Error(`onoff does not load: ${text}`, { cause: error });
  const state = notBuilt ? "was not built" : "was built for another Node";
  return new Error(`the native part of onoff ${state}; run "npm run build:gpio"`, { cause: error });
}

function explain(code: string, text: string, folder: string): string {
  switch (code) {
    case "EINVAL":
      return (
        "the kernel has no line of that number (EINVAL). Its numbers are not those printed on the board: " +
        `give chip and offset instead of line; ${chipsText(folder)}`
      );
    case "EBUSY":
      return 'held by another driver or program (EBUSY), which "gpioinfo" names; free it, or use another line';
    case "EACCES":
    case "EPERM":
      return `not allowed (${code}); the daemon's user needs write access to ${folder}, by a udev rule or a group`;
    case "ENODEV":
      return "gone (ENODEV); was the chip unplugged or its driver unloaded?";
    default:
      return text;
  }
}

// Loads a packed command with what V8 compiled of it when it was packed, once it had done its work: to compile it anew
// takes half the time of its start.

import { readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import { setFlagsFromString } from "node:v8";
import { constants, Script } from "node:vm";
import { crc32 } from "node:zlib";
import { packedFolder } from "./packed.ts";

export const packedProgram = (command: string) => `${command}.cjs`;
export const compiledProgram = (command: string) => `${command}.compiled`;
const checksumBytes = 4;

/**
 * A CommonJS module as it is packed: a function of what Node gives to one. To put that around it at each start would copy
 * all of it twice.
 */
export function asFunction(code: string): string {
  return `(function (exports, require, module, __filename, __dirname) {${code}\n})`;
}

/** What a packed program exports: it does what the process was called for. */
export interface PackedProgram {
  readonly run: () => Promise<void>;
}

/** @returns the program, and the script that it came of: `cachedDataRejected` where another V8 had compiled it */
export function loadPacked(command: string, folder = packedFolder): PackedProgram & { readonly script: Script } {
  const file = join(folder, packedProgram(command));
  const source = readFileSync(file);
  // Packed in ASCII.
  const script = new Script(source.toString("latin1"), {
    filename: file,
    cachedData: compiledOf(source, join(folder, compiledProgram(command))),
    importModuleDynamically: constants.USE_MAIN_CONTEXT_DEFAULT_LOADER,
  });
  const module = { exports: {} as PackedProgram };
  script.runInThisContext()(module.exports, createRequire(file), module, file, dirname(file));
  return { run: module.exports.run, script };
}

/** The V8 with which it was measured; another may not know these. */
const measuredV8 = "14.6.";
/** They bear on V8's quick compiler alone: what runs for long goes through the thorough one, as ever. */
const quickCompilerFlags = ["--no-maglev-inlining", "--no-maglev-loop-peeling"];

/**
 * A command that works for a second or two is compiled for half of that time, beside itself on another processor and in
 * its way. Measured: without what is copied from one function into another, and from a loop to before it, a month's
 * analyze takes a twentieth less. To be called once the program is loaded: what was kept compiled
 * V8 refuses under other flags than it was compiled with.
 */
export function compileSooner(): void {
  if (process.versions.v8.startsWith(measuredV8)) for (const flag of quickCompilerFlags) setFlagsFromString(flag);
}

/** V8 trusts it blindly: a byte that the disk has lost would end the process, and another source's would be run. */
function compiledOf(source: Buffer, compiled: string): Buffer | undefined {
  try {
    const file = readFileSync(compiled);
    const code = file.subarray(0, -checksumBytes);
    return file.readUInt32LE(code.length) === checksumOf(source, code) ? code : undefined;
  } catch {
    return undefined; // none was kept, or it was cut off
  }
}

/** Keeps what V8 has compiled of it so far. */
export function keepCompiled(script: Script, command: string, folder: string): void {
  const code = script.createCachedData();
  const checksum = Buffer.alloc(checksumBytes);
  checksum.writeUInt32LE(checksumOf(readFileSync(join(folder, packedProgram(command))), code));
  writeFileSync(join(folder, compiledProgram(command)), Buffer.concat([code, checksum]), { flush: true });
}

function checksumOf(source: Buffer, code: Buffer): number {
  return crc32(code, crc32(source));
}

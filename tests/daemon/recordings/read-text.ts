// Reads a recording that a test writes as text, through standard input.

import type { Reading } from "../../../analysis/readings/reading.ts";
import {
  type RecordingOptions,
  type RecordingResult,
  readRecording,
} from "../../../daemon/recordings/read-recording.ts";

export async function readText(
  text: string | Uint8Array,
  options: RecordingOptions = {},
): Promise<RecordingResult & { given: Reading[] }> {
  let given: Reading[] = [];
  const bytes = typeof text === "string" ? Buffer.from(text) : text;
  const restart = { onRestart: () => (given = []) };
  const result = await readRecording("-", { ...restart, ...options, stdin: once(bytes) }, (reading) => {
    given.push(reading);
  });
  return { ...result, given };
}

async function* once(bytes: Uint8Array): AsyncGenerator<Uint8Array> {
  yield bytes;
}

// The bytes of a recording, in chunks and as often as needed: a file or standard input, gzipped or not.

import { createReadStream } from "node:fs";
import { open, stat } from "node:fs/promises";
import { pipeline } from "node:stream/promises";
import { createGunzip } from "node:zlib";
import { keepStream } from "./keep-stream.ts";

export interface RecordingInput {
  /** Bytes as stored. */
  readonly size: number;
  /** Text, unzipped, each chunk good until the next is asked for. `onStored` hears how many stored bytes are done. */
  chunks(chunkBytes: number, onStored: (bytes: number) => void): AsyncIterable<Uint8Array>;
  /** Removes what was kept. */
  close(): Promise<void>;
}

/** Why a recording cannot be read; the message is fit for a person. */
export class UnreadableRecording extends Error {}

/**
 * @param path     a file, or `-` for standard input
 * @param stream   what `-` reads from
 * @param inMemory how many bytes of it are kept in memory at most
 * @throws {UnreadableRecording}
 */
export async function openRecording(
  path: string,
  stream: AsyncIterable<Uint8Array>,
  inMemory = 64 * 1024 * 1024,
): Promise<RecordingInput> {
  try {
    if (path === "-") return await streamInput(stream, inMemory);
    const found = await stat(path);
    if (found.isDirectory()) throw new UnreadableRecording("is a directory; expected a CSV file");
    // A named pipe, as a shell's <(…) makes, can be read only once.
    return found.isFile() ? await fileInput(path) : await streamInput(createReadStream(path), inMemory);
  } catch (error) {
    throw unreadable(error);
  }
}

async function fileInput(path: string, close = async () => {}): Promise<RecordingInput> {
  const { size } = await stat(path);
  const zipped = isGzip(await firstBytes(path));
  return {
    size,
    chunks: (chunkBytes, onStored) =>
      text(
        zipped ? createReadStream(path, { highWaterMark: chunkBytes }) : readAhead(path, chunkBytes),
        zipped,
        chunkBytes,
        onStored,
      ),
    close,
  };
}

async function streamInput(stream: AsyncIterable<Uint8Array>, inMemory: number): Promise<RecordingInput> {
  const kept = await keepStream(stream, inMemory);
  if (kept.kept === "in-file") return fileInput(kept.path, kept.remove);
  const zipped = isGzip(Buffer.concat(kept.chunks.slice(0, 2)));
  return {
    size: kept.size,
    chunks: (chunkBytes, onStored) => text(slices(kept.chunks, chunkBytes), zipped, chunkBytes, onStored),
    close: async () => {},
  };
}

async function* text(
  stored: AsyncIterable<Uint8Array>,
  zipped: boolean,
  chunkBytes: number,
  onStored: (bytes: number) => void,
): AsyncGenerator<Uint8Array> {
  const source = counted(stored, onStored);
  try {
    if (!zipped) return yield* source;
    const gunzip = createGunzip({ chunkSize: Math.max(chunkBytes, 64) });
    pipeline(source, gunzip).catch(() => {}); // what goes wrong comes out of gunzip here
    for await (const chunk of gunzip) yield chunk as Uint8Array;
  } catch (error) {
    throw unreadable(error);
  }
}

async function* counted(
  stored: AsyncIterable<Uint8Array>,
  onStored: (bytes: number) => void,
): AsyncGenerator<Uint8Array> {
  let bytes = 0;
  for await (const chunk of stored) {
    bytes += chunk.length;
    onStored(bytes);
    yield chunk;
  }
}

/** Into two buffers in turn, the next while the one before is worked on: new ones cost more than to fill them. */
async function* readAhead(path: string, chunkBytes: number): AsyncGenerator<Uint8Array> {
  const file = await open(path);
  const buffers = [Buffer.allocUnsafeSlow(chunkBytes), Buffer.allocUnsafeSlow(chunkBytes)] as const;
  const read = (turn: number) => {
    const reading = file.read(buffers[turn % 2] as Buffer, 0, chunkBytes, null);
    // Nobody listens while the one before is worked on: what goes wrong then is told once this is asked for.
    reading.catch(() => {});
    return reading;
  };
  let coming = read(0);
  try {
    for (let turn = 1; ; turn += 1) {
      const { buffer, bytesRead } = await coming;
      if (bytesRead === 0) return;
      coming = read(turn);
      yield buffer.subarray(0, bytesRead);
    }
  } finally {
    await coming.catch(() => {}); // what goes wrong beyond what was wanted is nobody's matter
    await file.close();
  }
}

async function* slices(chunks: readonly Uint8Array[], chunkBytes: number): AsyncGenerator<Uint8Array> {
  for (const chunk of chunks) {
    for (let from = 0; from < chunk.length; from += chunkBytes) yield chunk.subarray(from, from + chunkBytes);
  }
}

async function firstBytes(path: string): Promise<Uint8Array> {
  const file = await open(path);
  try {
    const { buffer, bytesRead } = await file.read(Buffer.alloc(2), 0, 2, 0);
    return buffer.subarray(0, bytesRead);
  } finally {
    await file.close();
  }
}

function isGzip(bytes: Uint8Array): boolean {
  return bytes[0] === 0x1f && bytes[1] === 0x8b;
}

function unreadable(error: unknown): UnreadableRecording {
  if (error instanceof UnreadableRecording) return error;
  const code = error instanceof Error && "code" in error ? String(error.code) : "";
  const reason = reasons.get(code) ?? `cannot be read: ${error instanceof Error ? error.message : String(error)}`;
  return new UnreadableRecording(reason, { cause: error });
}

const reasons = new Map([
  ["ENOENT", "no such file"],
  ["ENOTDIR", "no such file"],
  ["EACCES", "may not be read by this user"],
  ["EISDIR", "is a directory; expected a CSV file"],
  ["ENOSPC", "is too large to be kept in memory, and there is no room for a temporary copy on disk"],
  ["Z_BUF_ERROR", "ends in the middle of its gzip data; expected a complete file"],
  ["Z_DATA_ERROR", "its gzip data are damaged"],
]);

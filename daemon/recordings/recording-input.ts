// The bytes of a recording, in chunks and as often as needed: a file or standard input, gzipped or not. Standard
// input is kept, in memory up to 64 MB and beyond that in a temporary file, for it cannot be read twice.

import { createReadStream, createWriteStream, type WriteStream } from "node:fs";
import { mkdtemp, open, rm, stat } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { finished, pipeline } from "node:stream/promises";
import { createGunzip } from "node:zlib";

export interface RecordingInput {
  /** As it is called in messages. */
  readonly name: string;
  /** Bytes as stored. */
  readonly size: number;
  /** Text, unzipped. A chunk is valid until the next one is asked for. `onStored` hears how many stored bytes are done. */
  chunks(chunkBytes: number, onStored: (bytes: number) => void): AsyncIterable<Uint8Array>;
  /** Removes what was kept. */
  close(): Promise<void>;
}

/** Why a recording cannot be read; the message is fit for a person. */
export class UnreadableRecording extends Error {}

const keptInMemory = 64 * 1024 * 1024;

/**
 * @param path   a file, or `-` for standard input
 * @param stream what `-` reads from
 * @throws {UnreadableRecording}
 */
export async function openRecording(path: string, stream: AsyncIterable<Uint8Array>): Promise<RecordingInput> {
  if (path === "-") return keep("standard input", stream);
  const found = await stat(path).catch((error: unknown) => {
    throw unreadable(error);
  });
  if (found.isDirectory()) throw new UnreadableRecording("is a directory; expected a CSV file");
  return found.isFile() ? fileInput(path, path, async () => {}) : keep(path, createReadStream(path)); // a named pipe
}

async function fileInput(name: string, path: string, close: () => Promise<void>): Promise<RecordingInput> {
  const zipped = await startsAsGzip(path);
  const stored = (chunkBytes: number) => createReadStream(path, { highWaterMark: chunkBytes });
  const { size } = await stat(path);
  return {
    name,
    size,
    chunks: (chunkBytes, onStored) => {
      const source = counted(stored(chunkBytes), onStored);
      return zipped ? unzipped(source, chunkBytes) : source;
    },
    close,
  };
}

async function keep(name: string, stream: AsyncIterable<Uint8Array>): Promise<RecordingInput> {
  const kept: Uint8Array[] = [];
  let size = 0;
  let spool: { folder: string; file: string; out: WriteStream } | null = null;
  for await (const chunk of stream) {
    size += chunk.length;
    if (spool === null && size > keptInMemory) {
      const folder = await mkdtemp(join(tmpdir(), "recording-"));
      const file = join(folder, "standard-input");
      spool = { folder, file, out: createWriteStream(file) };
      for (const earlier of kept.splice(0)) await write(spool.out, earlier);
    }
    if (spool === null) kept.push(chunk);
    else await write(spool.out, chunk);
  }
  if (spool !== null) {
    spool.out.end();
    await finished(spool.out);
    const { folder, file } = spool;
    return fileInput(name, file, () => rm(folder, { recursive: true }));
  }
  const zipped = isGzip(Buffer.concat(kept.slice(0, 2)));
  return {
    name,
    size,
    chunks: (chunkBytes, onStored) => {
      const source = counted(sliced(kept, chunkBytes), onStored);
      return zipped ? unzipped(source, chunkBytes) : source;
    },
    close: async () => {},
  };
}

async function write(out: WriteStream, chunk: Uint8Array): Promise<void> {
  await new Promise<void>((resolve, reject) => {
    out.once("error", reject);
    out.write(chunk, (error) => (error ? reject(error) : resolve()));
  });
  out.removeAllListeners("error");
}

async function* sliced(chunks: readonly Uint8Array[], chunkBytes: number): AsyncGenerator<Uint8Array> {
  for (const chunk of chunks) {
    for (let from = 0; from < chunk.length; from += chunkBytes) yield chunk.subarray(from, from + chunkBytes);
  }
}

async function* counted(
  source: AsyncIterable<Uint8Array>,
  onStored: (bytes: number) => void,
): AsyncGenerator<Uint8Array> {
  let bytes = 0;
  try {
    for await (const chunk of source) {
      bytes += chunk.length;
      onStored(bytes);
      yield chunk;
    }
  } catch (error) {
    throw unreadable(error);
  }
}

async function* unzipped(source: AsyncIterable<Uint8Array>, chunkBytes: number): AsyncGenerator<Uint8Array> {
  const gunzip = createGunzip({ chunkSize: Math.max(chunkBytes, 64) });
  pipeline(source, gunzip).catch(() => {}); // what goes wrong comes out of gunzip below
  try {
    for await (const chunk of gunzip) yield chunk as Uint8Array;
  } catch (error) {
    throw unreadable(error);
  }
}

async function startsAsGzip(path: string): Promise<boolean> {
  try {
    const file = await open(path);
    try {
      const { buffer, bytesRead } = await file.read(Buffer.alloc(2), 0, 2, 0);
      return bytesRead === 2 && isGzip(buffer);
    } finally {
      await file.close();
    }
  } catch (error) {
    throw unreadable(error);
  }
}

function isGzip(bytes: Uint8Array): boolean {
  return bytes[0] === 0x1f && bytes[1] === 0x8b;
}

function unreadable(error: unknown): UnreadableRecording {
  if (error instanceof UnreadableRecording) return error;
  const code = error instanceof Error && "code" in error ? String(error.code) : "";
  const message = reasons.get(code) ?? `cannot be read: ${error instanceof Error ? error.message : String(error)}`;
  return new UnreadableRecording(message, { cause: error });
}

const reasons = new Map([
  ["ENOENT", "no such file"],
  ["ENOTDIR", "no such file"],
  ["EACCES", "may not be read by this user"],
  ["Z_BUF_ERROR", "ends in the middle of its gzip data; expected a complete file"],
  ["Z_DATA_ERROR", "its gzip data are damaged"],
]);

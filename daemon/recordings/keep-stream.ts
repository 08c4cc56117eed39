// Keeps what a stream gives so that it can be read again: in memory, and beyond a limit in a temporary file.

import { mkdtemp, open, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";

export type KeptStream =
  | { readonly kept: "in-memory"; readonly chunks: readonly Uint8Array[]; readonly size: number }
  | { readonly kept: "in-file"; readonly path: string; remove(): Promise<void> };

/** @throws what the stream throws, or the file system; then nothing is left behind */
export async function keepStream(stream: AsyncIterable<Uint8Array>, inMemory: number): Promise<KeptStream> {
  const chunks: Uint8Array[] = [];
  let size = 0;
  const rest = stream[Symbol.asyncIterator]();
  for (let next = await rest.next(); !next.done; next = await rest.next()) {
    chunks.push(next.value);
    size += next.value.length;
    if (size > inMemory) return spool(chunks, rest);
  }
  return { kept: "in-memory", chunks, size };
}

async function spool(chunks: Uint8Array[], rest: AsyncIterator<Uint8Array>): Promise<KeptStream> {
  const folder = await mkdtemp(join(tmpdir(), "undercroft-input-"));
  const path = join(folder, "stream");
  const remove = () => rm(folder, { recursive: true, force: true });
  try {
    const file = await open(path, "wx");
    try {
      for (const chunk of chunks.splice(0)) await file.appendFile(chunk);
      for (let next = await rest.next(); !next.done; next = await rest.next()) await file.appendFile(next.value);
    } finally {
      await file.close();
    }
  } catch (error) {
    await remove();
    throw error;
  }
  return { kept: "in-file", path, remove };
}

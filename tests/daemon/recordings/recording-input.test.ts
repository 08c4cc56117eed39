import { existsSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { open } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import { gzipSync } from "node:zlib";
import { afterAll, describe, expect, it, vi } from "vitest";
import { openRecording, type RecordingInput } from "../../../daemon/recordings/recording-input.ts";

const folder = mkdtempSync(join(tmpdir(), "recording-input-"));
afterAll(() => rmSync(folder, { recursive: true }));

async function* inPieces(bytes: Uint8Array, size: number): AsyncGenerator<Uint8Array> {
  for (let from = 0; from < bytes.length; from += size) yield bytes.subarray(from, from + size);
}

async function all(input: RecordingInput, onStored: (bytes: number) => void = () => {}): Promise<string> {
  const chunks: Buffer[] = [];
  for await (const chunk of input.chunks(1000, onStored)) chunks.push(Buffer.from(chunk));
  return Buffer.concat(chunks).toString();
}

const text = "time_ms,level_m\n".concat("1000,0.5\n".repeat(1000));

describe("openRecording", () => {
  it.each([
    ["plain", Buffer.from(text)],
    ["gzipped, whatever its name", gzipSync(text)],
    ["gzipped in two members", Buffer.concat([gzipSync(text.slice(0, 500)), gzipSync(text.slice(500))])],
  ])("reads a file that is %s, as often as asked, and says how far it is", async (_, bytes) => {
    const path = join(folder, "week.csv");
    writeFileSync(path, bytes);
    const input = await openRecording(path, inPieces(Buffer.of(), 1));
    const progress: number[] = [];
    expect(await all(input, (done) => progress.push(done))).toBe(text);
    expect(await all(input)).toBe(text);
    expect(progress.at(-1)).toBe(input.size);
    expect(input.size).toBe(bytes.length);
    await input.close();
    expect(existsSync(path)).toBe(true);
  });

  it("tells of a disk that fails while what came before is worked on, once more is asked for", async () => {
    const path = join(folder, "failing.csv");
    writeFileSync(path, text);
    const input = await openRecording(path, inPieces(Buffer.of(), 1));
    const file = await open(path);
    const handles = Object.getPrototypeOf(file);
    await file.close();
    const read: (...of: unknown[]) => Promise<unknown> = handles.read;
    let reads = 0;
    // By hand: a spy would itself listen to what goes wrong.
    handles.read = function (this: unknown, ...of: unknown[]) {
      reads += 1;
      return reads > 1 ? Promise.reject(new Error("EIO: i/o error, read")) : read.apply(this, of);
    };
    const unheard = vi.fn();
    process.on("unhandledRejection", unheard);
    try {
      const chunks = input.chunks(1000, () => {})[Symbol.asyncIterator]();
      expect((await chunks.next()).value).toHaveLength(1000);
      await wait(5);
      await expect(chunks.next()).rejects.toThrow("EIO");
      expect(unheard).not.toHaveBeenCalled();
    } finally {
      handles.read = read;
      process.off("unhandledRejection", unheard);
      await input.close();
    }
  });

  it.each([
    ["plain, in memory", Buffer.from(text), 1e6],
    ["gzipped, in memory", gzipSync(text), 1e6],
    ["plain, too large for memory", Buffer.from(text), 2000],
    ["gzipped, too large for memory", gzipSync(text), 20],
  ])("keeps standard input that is %s, and leaves nothing behind", async (_, bytes, inMemory) => {
    const spools = () => readdirSync(tmpdir()).filter((name) => name.startsWith("undercroft-input-"));
    const before = spools().length;
    const input = await openRecording("-", inPieces(bytes, 7), inMemory);
    expect(await all(input)).toBe(text);
    expect(await all(input)).toBe(text);
    expect(spools().length - before).toBe(inMemory < bytes.length ? 1 : 0);
    await input.close();
    expect(spools()).toHaveLength(before);
  });
});

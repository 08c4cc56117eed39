// Prints a page that stands by itself as PDF, through a browser without a window. The page may ask nothing of a network.

import { execFile } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

/** The message is one line, for the person who asked for a PDF. */
export class CannotPrint extends Error {
  constructor(message: string, cause?: unknown) {
    super(message, { cause });
  }
}

const longest_ms = 90_000;

/**
 * @param page    a whole HTML document
 * @param program the browser
 * @returns the PDF's bytes
 * @throws CannotPrint when the browser fails or takes longer than a minute and a half; the message has its last words
 */
export async function printPdf(page: string, program: string): Promise<Uint8Array> {
  // Debian's and other packages' browsers may be confined to certain folders; the temporary one is among them.
  const folder = mkdtempSync(join(tmpdir(), "undercroft-print-"));
  const [html, pdf] = [join(folder, "report.html"), join(folder, "report.pdf")];
  try {
    writeFileSync(html, page);
    await run(program, [...still(folder), `--print-to-pdf=${pdf}`, pathToFileURL(html).href]);
    return readFileSync(pdf);
  } catch (error) {
    const words = error instanceof Error ? error.message.trim().split("\n").at(-1) : String(error);
    throw new CannotPrint(
      `expected ${program} to print, found that it could not: ${words}; use --html and print`,
      error,
    );
  } finally {
    rmSync(folder, { recursive: true, force: true, maxRetries: 3 });
  }
}

function still(folder: string): string[] {
  return [
    "--headless",
    "--disable-gpu",
    "--no-first-run",
    "--no-pdf-header-footer",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--host-resolver-rules=MAP * ~NOTFOUND",
    `--user-data-dir=${join(folder, "profile")}`,
    // As root it starts only so. The page is our own text, and it can reach nothing.
    ...(process.getuid?.() === 0 ? ["--no-sandbox"] : []),
  ];
}

function run(program: string, args: readonly string[]): Promise<void> {
  return new Promise((done, failed) => {
    execFile(program, args, { timeout: longest_ms, killSignal: "SIGKILL" }, (error, _out, err) => {
      if (error === null) return done();
      const status = error.killed ? `no answer in ${longest_ms / 1000} s` : `status ${error.code}`;
      failed(new Error(err.trim() === "" ? status : err));
    });
  });
}

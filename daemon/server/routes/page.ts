// The built page: only files that stand in its folder, each in the smallest form that the browser takes.

import { readdirSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { extname, join, relative, sep } from "node:path";
import type { Server, ServerParts } from "../server-parts.ts";

const types: Readonly<Record<string, string>> = {
  ".html": "text/html; charset=utf-8",
  ".js": "text/javascript; charset=utf-8",
  ".css": "text/css; charset=utf-8",
  ".json": "application/json; charset=utf-8",
  ".webmanifest": "application/manifest+json; charset=utf-8",
  ".svg": "image/svg+xml",
  ".png": "image/png",
  ".ico": "image/x-icon",
  ".woff2": "font/woff2",
  ".txt": "text/plain; charset=utf-8",
};

const forms = [
  { encoding: "br", ending: ".br" },
  { encoding: "gzip", ending: ".gz" },
] as const;

const notBuilt =
  'The page has not been built yet: run "npm run build" in the project\'s folder and load this again.\n' +
  "The daemon itself is at work; its answers are at /api/state and, described, at /api/openapi.json.\n";

export function addPageRoute(server: Server, { pageFolder }: Pick<ServerParts, "pageFolder">): void {
  let files = filesIn(pageFolder);

  // A name that is not known may be of a build made since; a known one is read from disk every time.
  function has(name: string): boolean {
    if (!files.has(name)) files = filesIn(pageFolder);
    return files.has(name);
  }

  server.get("/*", async (request, reply) => {
    const path = request.url.replace(/[?#].*$/s, "").slice(1);
    const name = path === "" ? "index.html" : path;
    if (!has(name)) {
      if (path !== "") return reply.callNotFound();
      return reply.code(503).type("text/plain; charset=utf-8").send(notBuilt);
    }
    const accepted = String(request.headers["accept-encoding"] ?? "");
    const form = forms.find(({ encoding, ending }) => accepted.includes(encoding) && files.has(name + ending));
    const content = await readFile(join(pageFolder, name + (form?.ending ?? "")));
    if (form !== undefined) reply.header("content-encoding", form.encoding);
    return reply
      .header("vary", "accept-encoding")
      .header("cache-control", name.startsWith("assets/") ? "public, max-age=31536000, immutable" : "no-cache")
      .type(types[extname(name)] ?? "application/octet-stream")
      .send(content);
  });
}

function filesIn(folder: string): ReadonlySet<string> {
  try {
    const entries = readdirSync(folder, { recursive: true, withFileTypes: true }).filter((entry) => entry.isFile());
    const names = entries.map((entry) => relative(folder, join(entry.parentPath, entry.name)));
    return new Set(names.map((name) => name.split(sep).join("/")));
  } catch {
    return new Set(); // not built
  }
}

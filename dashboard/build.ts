// Builds the page into dashboard/dist, with a .br and a .gz beside each file for the server to send.
// `--if-stale` builds only when a source is newer than what is there.

import { existsSync, globSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { brotliCompressSync, constants, gzipSync } from "node:zlib";

const dashboard = import.meta.dirname;
const root = join(dashboard, "..");
const dist = join(dashboard, "dist");
const built = join(dist, "index.html");

if (!process.argv.includes("--if-stale") || isStale()) await build();

/** Something that the page is made of is newer than the page. */
function isStale(): boolean {
  if (!existsSync(built)) return true;
  const builtAt = statSync(built).mtimeMs;
  const sources = globSync(
    ["dashboard/**/*.{ts,tsx,css,html}", "analysis/**/*.{ts,css,md}", "daemon/server/api-types.ts"],
    {
      cwd: root,
      exclude: (path) => path.startsWith("dashboard/dist"),
    },
  );
  return sources.some((source) => statSync(join(root, source)).mtimeMs > builtAt);
}

async function build(): Promise<void> {
  const start_ms = performance.now();
  const vite = await import("vite").catch(() => null);
  if (!vite) {
    // A board that was installed without the tools to build keeps the page it came with.
    if (existsSync(built)) return;
    console.error("dashboard: cannot be built, because vite is not installed; run npm ci with development packages");
    process.exit(2);
  }
  await vite.build({
    root: dashboard,
    base: "./",
    configFile: false,
    logLevel: "error",
    mode: "production",
    // Without this the bundle names the source file of every element, whatever NODE_ENV the build was started in.
    oxc: { jsx: { runtime: "automatic", importSource: "preact", development: false } },
    build: {
      outDir: dist,
      emptyOutDir: true,
      target: "es2023",
      cssTarget: ["chrome123", "firefox121", "safari17.5"],
      modulePreload: { polyfill: false },
      reportCompressedSize: false,
    },
  });
  const bytes = compressAll();
  const took_s = ((performance.now() - start_ms) / 1000).toFixed(1);
  console.log(`dashboard: built in ${took_s} s, ${(bytes / 1000).toFixed(1)} kB compressed`);
}

/** Writes the compressed files; returns the sum of the .br ones. */
function compressAll(): number {
  let sum = 0;
  for (const name of readdirSync(dist, { recursive: true, encoding: "utf8" })) {
    if (!/\.(js|css|html|svg)$/.test(name)) continue;
    const file = join(dist, name);
    const plain = readFileSync(file);
    const brotli = brotliCompressSync(plain, {
      params: { [constants.BROTLI_PARAM_QUALITY]: 11, [constants.BROTLI_PARAM_SIZE_HINT]: plain.length },
    });
    writeFileSync(`${file}.br`, brotli);
    writeFileSync(`${file}.gz`, gzipSync(plain, { level: 9 }));
    sum += brotli.length;
  }
  return sum;
}

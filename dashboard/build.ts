// Builds the board's page into dashboard/dist and the page of all basins into dashboard/dist-central, with a .br and a .gz
// beside each file for the server to send.
// `--if-stale` builds only when a source is newer than what is there.

import { existsSync, globSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { brotliCompressSync, constants, gzipSync } from "node:zlib";
import type { InlineConfig } from "vite";

const dashboard = import.meta.dirname;
const root = join(dashboard, "..");
const pages = [
  { root: dashboard, dist: join(dashboard, "dist") },
  { root: join(dashboard, "central"), dist: join(dashboard, "dist-central") },
];
const worker = "push-worker";
const built = pages.map(({ dist }) => join(dist, "index.html"));

if (!process.argv.includes("--if-stale") || isStale()) await build();

/** Something that the page is made of is newer than the page. */
function isStale(): boolean {
  if (!built.every((file) => existsSync(file))) return true;
  const builtAt = Math.min(...built.map((file) => statSync(file).mtimeMs));
  const sources = globSync(
    ["dashboard/**/*.{ts,tsx,css,html}", "dashboard/public/*", "analysis/**/*.{ts,css,md}", "daemon/central/*.ts"],
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
    if (built.every((file) => existsSync(file))) return;
    console.error("dashboard: cannot be built, because vite is not installed; run npm ci with development packages");
    process.exit(2);
  }
  let bytes = 0;
  for (const page of pages) {
    await vite.build(options(page));
    bytes += compressAll(page.dist);
  }
  const took_s = ((performance.now() - start_ms) / 1000).toFixed(1);
  console.log(`dashboard: built in ${took_s} s, ${(bytes / 1000).toFixed(1)} kB compressed`);
}

function options({ root, dist }: (typeof pages)[number]): InlineConfig {
  return {
    root,
    base: "./",
    configFile: false,
    logLevel: "error",
    mode: "production",
    publicDir: join(dashboard, "public"),
    // Without this the bundle names the source file of every element, whatever NODE_ENV the build was started in.
    oxc: { jsx: { runtime: "automatic", importSource: "preact", development: false } },
    build: {
      outDir: dist,
      emptyOutDir: true,
      target: "es2023",
      cssTarget: ["chrome123", "firefox121", "safari17.5"],
      modulePreload: { polyfill: false },
      reportCompressedSize: false,
      rolldownOptions: {
        input: { index: join(root, "index.html"), [worker]: join(dashboard, "phones/push-worker.ts") },
        // The worker's address is what a phone remembers, and its folder is what it may see to.
        output: { entryFileNames: ({ name }) => (name === worker ? "[name].js" : "assets/[name]-[hash].js") },
      },
    },
  };
}

/** Writes the compressed files; returns the sum of the .br ones. */
function compressAll(dist: string): number {
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

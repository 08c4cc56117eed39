import { defineConfig } from "vitest/config";

/**
 * They keep nothing beyond a test: one process takes file after file, and loads what they test once. A process each costs
 * more than most of them.
 */
const pure = ["analysis", "dashboard", "published"].map((folder) => `tests/${folder}/**/*.test.ts`);
/** Said by `tests/run.ts`: what of this machine some need is missing. `--exclude` does not reach into projects. */
const leftOut = (process.env.LEFT_OUT ?? "").split(" ").filter((file) => file !== "");

export default defineConfig({
  test: {
    exclude: ["tests/bench/**", ...leftOut],
    // Real brokers, browsers and child processes share two cores: more workers make them flaky, not faster.
    maxWorkers: 2,
    // Patience with a busy machine: what hangs ends, what is slow does not fail.
    testTimeout: 180_000,
    hookTimeout: 120_000,
    expect: { poll: { timeout: 20_000 } },
    projects: [
      { extends: true, test: { name: "pure", include: pure, isolate: false } },
      { extends: true, test: { name: "processes", include: ["tests/**/*.test.ts"], exclude: pure } },
    ],
  },
});

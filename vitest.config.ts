import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["tests/**/*.test.ts"],
    exclude: ["tests/bench/**"],
    // Real brokers, browsers and child processes share two cores: more workers make them flaky, not faster.
    maxWorkers: 2,
    // Patience with a busy machine: what hangs ends, what is slow does not fail.
    testTimeout: 180_000,
    hookTimeout: 120_000,
    expect: { poll: { timeout: 20_000 } },
  },
});

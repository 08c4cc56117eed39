// The table of cycles, newest first. Only the rows in view are in the page; older ones are fetched as they are neared.

import { batch, useSignal, useSignalEffect } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import { api } from "../api.ts";
import { unitName } from "../format.ts";
import { lastCycle } from "../live.ts";
import { HowSure } from "../parts/how-sure.tsx";
import { units } from "../preferences.ts";
import { Filler, Row } from "./cycle-row.tsx";
import { mergeCycles, renewCycles, rowsInView } from "./cycle-rows.ts";
import { useAsking } from "./use-asking.ts";

const page = 200;
const phone = matchMedia("(max-width: 760px)");

const heightOf = (narrow: boolean) => (narrow ? 96 : 44);

export function CyclesView() {
  const cycles = useSignal<readonly Cycle[]>([]);
  const complete = useSignal(false);
  const asked = useSignal(false);
  const failure = useSignal<string | null>(null);
  const scrollTop = useSignal(0);
  const viewport = useSignal(600);
  const narrow = useSignal(phone.matches);
  const box = useRef<HTMLDivElement>(null);
  const loading = useRef(false);
  /** While the newest are being asked for: the answer may be older than these. */
  const arrived = useRef<Cycle[] | null>(null);

  async function loadNewest(): Promise<void> {
    const meanwhile: Cycle[] = [];
    arrived.current = meanwhile;
    try {
      const answer = await api.cycles({ from_s: 0, to_s: 1e11 }, page);
      const { cycles: renewed, reach } = renewCycles(cycles.peek(), answer.cycles, page);
      batch(() => {
        if (reach !== "as before") complete.value = reach === "whole";
        show(mergeCycles(renewed, meanwhile));
        asked.value = true;
        failure.value = null;
      });
    } catch (error) {
      failure.value = error instanceof Error ? error.message : String(error);
      throw error;
    } finally {
      arrived.current = null;
    }
  }

  async function loadOlder(): Promise<void> {
    const oldest_s = cycles.peek().at(-1)?.startedAt_s;
    if (loading.current || complete.peek() || oldest_s === undefined) return;
    loading.current = true;
    try {
      const answer = await api.cycles({ from_s: 0, to_s: oldest_s - 0.001 }, page);
      if (cycles.peek().at(-1)?.startedAt_s !== oldest_s) {
        loading.current = false; // renewed meanwhile: the answer would not join on
        return await loadOlder();
      }
      batch(() => {
        complete.value = answer.cycles.length < page;
        cycles.value = mergeCycles(cycles.peek(), answer.cycles);
        failure.value = null;
      });
    } catch (error) {
      failure.value = error instanceof Error ? error.message : String(error);
    } finally {
      loading.current = false;
    }
  }

  /** A reader who has scrolled down stays at the row that is being read. */
  function show(next: readonly Cycle[]): void {
    const newest_s = cycles.peek()[0]?.startedAt_s ?? Number.POSITIVE_INFINITY;
    const added = next.filter(({ startedAt_s }) => startedAt_s > newest_s).length;
    cycles.value = next;
    const height = heightOf(narrow.peek());
    if (box.current && box.current.scrollTop > height) box.current.scrollTop += added * height;
  }
  useSignalEffect(() => {
    const fresh = lastCycle.value;
    if (!fresh) return;
    arrived.current?.push(fresh);
    if (asked.peek()) show(mergeCycles(cycles.peek(), [fresh]));
  });
  useAsking(loadNewest);
  useEffect(() => {
    const element = box.current;
    const gone = new AbortController();
    phone.addEventListener("change", () => (narrow.value = phone.matches), { signal: gone.signal });
    const watcher = new ResizeObserver(() => (viewport.value = element?.clientHeight ?? 600));
    if (element) watcher.observe(element);
    return () => {
      gone.abort();
      watcher.disconnect();
    };
  }, []);

  const rowHeight = heightOf(narrow.value);
  const rows = rowsInView({
    scrollTop: scrollTop.value,
    viewport: viewport.value,
    rowHeight,
    count: cycles.value.length,
  });
  useSignalEffect(() => {
    const end = rowsInView({
      scrollTop: scrollTop.value,
      viewport: viewport.value,
      rowHeight,
      count: cycles.value.length,
    }).to;
    if (cycles.value.length > 0 && end > cycles.value.length - 40) void loadOlder();
  });

  const shown = cycles.value.slice(rows.from, rows.to);
  const none = complete.value && cycles.value.length === 0;
  const [flow, volume] = [unitName("flow", units.value), unitName("volume", units.value)];
  return (
    <div class="cycles">
      <h1>
        Cycles{" "}
        {!none && (
          <span class="quiet">
            {cycles.value.length.toLocaleString("en")}
            {complete.value ? "" : " and more"}, newest first
          </span>
        )}
      </h1>
      {failure.value && (
        <p class="fault" role="alert">
          {failure.value}
        </p>
      )}
      <section
        ref={box}
        class={none ? "table-box none" : "table-box"}
        aria-label="Table of cycles"
        // biome-ignore lint/a11y/noNoninteractiveTabindex: a box that scrolls must be reachable by keyboard.
        tabIndex={0}
        onScroll={(event) => {
          scrollTop.value = event.currentTarget.scrollTop;
        }}
      >
        <table aria-rowcount={complete.value ? cycles.value.length + 1 : -1}>
          <thead>
            <tr>
              <th scope="col">Start</th>
              <th scope="col">Run</th>
              <th scope="col">Rest before</th>
              <th scope="col">
                Inflow <small>{flow}</small>
              </th>
              <th scope="col">
                Pump <small>{flow}</small>
              </th>
              <th scope="col">
                Came back <small>{volume}</small>
              </th>
            </tr>
          </thead>
          <tbody>
            {rows.from > 0 && <Filler height={rows.from * rowHeight} />}
            {shown.map((cycle, i) => (
              <Row key={cycle.startedAt_s} cycle={cycle} index={rows.from + i + 2} />
            ))}
            {rows.to < cycles.value.length && <Filler height={(cycles.value.length - rows.to) * rowHeight} />}
          </tbody>
        </table>
        {none && <p class="waiting">No cycle yet. The first one shows when the pump has run.</p>}
      </section>
      <HowSure />
    </div>
  );
}

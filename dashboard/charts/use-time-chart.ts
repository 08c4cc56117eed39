// Puts a chart into the page and keeps it in step with the visible stretch, with light and dark, and with gestures.

import { useSignal, useSignalEffect } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { repaint } from "../preferences.ts";
import { attachGestures, chartKey } from "./gestures.ts";
import { visible } from "./record-span.ts";
import { createTimeChart, type TimeChart, type TimeChartOptions } from "./time-chart.ts";

/**
 * @param options read once, when the chart is made: what changes is read inside its functions
 * @param fill sets the data; called when the chart is there and whenever the signals it reads change
 */
export function useTimeChart(options: Omit<TimeChartOptions, "host">, fill: (chart: TimeChart) => void) {
  const host = useRef<HTMLDivElement>(null);
  const chart = useSignal<TimeChart | null>(null);
  const latest = useRef({ options, fill });
  latest.current = { options, fill };

  useEffect(() => {
    const element = host.current;
    if (!element) return;
    let left = false;
    let detach = () => {};
    const onKey = (event: KeyboardEvent) => {
      if (!event.ctrlKey && !event.metaKey && !event.altKey && chartKey(event.key)) event.preventDefault();
    };
    element.addEventListener("keydown", onKey);
    void createTimeChart({ ...latest.current.options, host: element }).then((made) => {
      if (left) return made.destroy();
      detach = attachGestures(made.plot.over, (left) => made.plot.setCursor({ left, top: 0 }));
      chart.value = made;
    });
    return () => {
      left = true;
      element.removeEventListener("keydown", onKey);
      detach();
      chart.peek()?.destroy();
      chart.value = null;
    };
  }, [chart]);

  useSignalEffect(() => {
    if (chart.value) latest.current.fill(chart.value);
  });
  useSignalEffect(() => {
    if (visible.value) chart.value?.setSpan(visible.value);
  });
  useSignalEffect(() => {
    if (repaint.value > 0) chart.value?.repaint();
  });
  return host;
}
